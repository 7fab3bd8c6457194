import { UserError } from "../../core/errors.js";
import { at, present } from "../../core/numeric/dense.js";
import { type Calibration, calibrateJob } from "../../inference/calibrate-job.js";
import type { SourceEstimate, SourceFit } from "../../inference/estimates/fit-sources.js";
import { type ReadingResidual, residualsOf } from "../../inference/estimates/judge-fit.js";
import { type JobPosterior, jobPosterior } from "../../inference/job-posterior.js";
import { instrumentVariance } from "../../inference/likelihood/reading-likelihood.js";
import { cellSpecimen, errorsFrom } from "../../inference/likelihood/specimen.js";
import { expectBlock } from "../../inference/likelihood/trial-blocks.js";
import { trialsFile } from "../../io/files.js";
import { closingLimits, type Job } from "../../model/job/job.js";
import { isAngleReading, QUANTITIES, type Reading, type ReadQuantity } from "../../model/readings.js";
import { predictAsMade } from "../../physics/fitting/fit-lengths.js";
import { cellDrawing, commonMagnification } from "../../render/cell/cell-drawing.js";
import type { ChartOptions } from "../../render/charts/chart-spec.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { estimatesChart } from "../../render/charts/estimates-chart.js";
import { binGaps, gapDistribution, gapEdges } from "../../render/charts/gap-distribution.js";
import { readingsChart } from "../../render/charts/readings-chart.js";
import { residualsChart } from "../../render/charts/residuals-chart.js";
import type { JobPicture, PictureInput } from "../../render/pictures.js";
import { readQuantityText, signAxis, subjectNamer } from "../../render/shared-text.js";
import { chanceText, smallUnit } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";

/** Half-width of a 95 % interval in standard deviations, k = 2 (JCGM 100:2008, G.6.6). */
const K = 2;

/**
 * Each reading of the requested quantities beside its prediction from the fit; all except gaps as differences from nominal.
 *
 * @example
 * (await drawReadings(calibration, ["gap"])).svg.startsWith("<svg") // true
 */
export function drawReadings(
  calibration: Pick<Calibration, "job" | "fit" | "residuals">,
  quantities: readonly ReadQuantity[] = QUANTITIES,
  options: Pick<ChartOptions, "width"> = {},
): Promise<Chart> {
  const { job, residuals } = calibration;
  const nominal = nominalReadings(calibration);
  const named = subjectNamer(job);
  const instruments = new Map(job.instruments.map((instrument) => [instrument.name, instrument]));
  const rows = residuals.flatMap((row, i) => {
    const { reading, expected, interval, outlier } = row;
    if (!quantities.includes(reading.what)) return [];
    const base = reading.what === "gap" ? 0 : at(nominal, i);
    const own = Math.sqrt(instrumentVariance(present(instruments.get(reading.instrument)), reading));
    const from = (x: number | null): number | null => (x === null ? null : x - base);
    const shown = {
      id: reading.id,
      label: labelOf(reading, named),
      group: `${readQuantityText(reading.what)}, ${reading.instrument}`,
      outlier,
      unit: isAngleReading(reading.what) ? ("deg" as const) : smallUnit(job.units),
      low: reading.value === null ? reading.low! - base : reading.value - K * own - base,
      high: reading.value === null ? reading.high! - base : reading.value + K * own - base,
      value: from(reading.value),
      predicted: expected - base,
      predictedLow: interval[0] - base,
      predictedHigh: interval[1] - base,
    };
    return [shown];
  });
  const gaps = quantities.includes("gap");
  const sizes = quantities.some((what) => what !== "gap" && !isAngleReading(what));
  const length = !gaps ? "Size, from nominal" : sizes ? "Gap, or size from nominal" : "Gap";
  return drawChart(readingsChart(rows, { ...options, axisTitles: { length } }));
}

/** What every reading would show if nothing were off, mm or rad. */
function nominalReadings({ fit, job }: Pick<Calibration, "job" | "fit">): Float64Array {
  const out = new Float64Array(fit.target.readings.length);
  for (const block of fit.target.blocks) {
    const { mu } = expectBlock(
      job,
      block,
      new Float64Array(fit.sources.length),
      new Float64Array(block.latents),
    );
    for (const [k, place] of block.places.entries()) out[place] = at(mu, k);
  }
  return out;
}

function labelOf(reading: Reading, named: ReturnType<typeof subjectNamer>): string {
  const { id, what, trial, at, bench } = reading;
  const where = bench === "none" ? "" : `, ${bench}`;
  return `${id}: ${what}${at ? ` at ${at}` : ""}, ${trial}${where}, ${named(reading)}`;
}

/**
 * Every source's estimate with its 95 % interval, and behind it the prior: two prior standard deviations about the prior mean.
 *
 * @example
 * (await drawEstimates(calibration)).svg.startsWith("<svg") // true
 */
export function drawEstimates(
  { job, fit }: Pick<Calibration, "job" | "fit">,
  options: Pick<ChartOptions, "width"> = {},
): Promise<Chart> {
  const rows = fit.sources.flatMap((source) =>
    placesOf(source).map((place) => ({
      ...place,
      unit: source.angular ? ("deg" as const) : smallUnit(job.units),
      axis: signAxis(source.id),
      priorLow: (source.priorMean ?? 0) - K * source.priorSd,
      priorHigh: (source.priorMean ?? 0) + K * source.priorSd,
    })),
  );
  return drawChart(estimatesChart(rows, options));
}

/** The possible range of a source: its interval, or one on either side of zero if its sign is not identified. */
function placesOf({ id, estimate, interval, sides }: SourceEstimate) {
  const name = sourceText(id);
  if (!sides) return [{ name, estimate, low: interval[0], high: interval[1] }];
  return [
    { sign: "+", side: sides.above },
    { sign: "−", side: sides.below },
  ].map(({ sign, side: { estimate: at, standardUncertainty: u } }) => ({
    name: `${name}, if ${sign}`,
    estimate: at,
    low: at - K * u,
    high: at + K * u,
  }));
}

/**
 * The cell with the estimated errors, before or after the moves, without cut-to-cut errors; for signs that are not identified, the more probable one is drawn.
 *
 * @example
 * (await drawCalibratedCell(calibration, "after")).text.length > 0 // true
 */
export function drawCalibratedCell(
  { job, fit, decision }: Calibration,
  when: "before" | "after",
): Promise<Chart> {
  return when === "after" ? drawCell(job, fit, decision.moves.change) : drawCell(job, fit, null);
}

/**
 * The cell before or after the moves, both at the magnification for the cell as the jigs are now, so that the two can be compared.
 *
 * @param moved change of every source, rad and mm; `null` for the cell as the jigs are now
 */
function drawCell(job: Job, fit: SourceFit, moved: Float64Array | null): Promise<Chart> {
  const specimen = cellSpecimen(job, fit.target.cells);
  const made = (change: Float64Array) => {
    const errors = errorsFrom(
      specimen,
      fit.oneSide.estimates.map((estimate, i) => estimate + at(change, i)),
    );
    return { cell: specimen.cell, ...predictAsMade(job, specimen.cell, errors, false) };
  };
  const limits = { gapLimit: job.limits.gap, snugLimit: job.limits.snug };
  const now = made(new Float64Array(fit.sources.length));
  const magnification = commonMagnification([now], limits);
  const shown = moved === null ? now : made(moved);
  const fitted = shown.groups === null ? "" : ", pieces fitted by trial";
  const open = fit.sources.some(({ sides }) => sides !== null) ? ", unknown signs as is likelier" : "";
  const title =
    (moved === null ? "The cell as the jigs are now" : "The cell after the moves") + fitted + open;
  return drawChart(cellDrawing(shown, { title, unit: smallUnit(job.units), ...limits, magnification }));
}

/** Distribution of the widest gap of the next cells, before and after the moves; of the deepest press as well if more cells fail because of it than because of a gap. */
export function drawForecast(
  { job, decision, before, after }: Calibration,
  options: Pick<ChartOptions, "width"> = {},
): Promise<Chart> {
  const { gap, snug } = closingLimits(job);
  const edges = gapEdges([before.widestGap, after.widestGap], { gapLimit: gap });
  const says = (closes: number) => ({ says: `${chanceText(closes)} of the cells close` });
  const beyond = (values: Float64Array, limit: number): number =>
    values.filter((value) => value > limit).length;
  const pressDecides = [before, after].some(
    ({ widestGap, deepestPress }) => beyond(deepestPress, snug) > beyond(widestGap, gap),
  );
  const pressEdges = pressDecides
    ? gapEdges([before.deepestPress, after.deepestPress], { gapLimit: snug })
    : [];
  const moved = decision.advice.filter(({ verdict }) => verdict === "adjust").length;
  const names = { before: "as it is", after: moved === 1 ? "after the move" : "after the moves" };
  return drawChart(
    gapDistribution(
      {
        before: { ...binGaps(before.widestGap, edges), ...says(before.closes) },
        after: moved === 0 ? null : { ...binGaps(after.widestGap, edges), ...says(after.closes) },
        gapLimit: gap,
        ...(pressDecides && {
          press: {
            before: binGaps(before.deepestPress, pressEdges),
            after: moved === 0 ? null : binGaps(after.deepestPress, pressEdges),
            limit: snug,
          },
        }),
      },
      {
        ...options,
        unit: smallUnit(job.units),
        names,
        title: `${pressDecides ? "Widest gap and deepest press" : "The widest gap"}${moved === 0 ? " of the cells to come" : ` before and ${names.after}`}`,
      },
    ),
  );
}

/** Residual of each reading, in its own standard deviations. */
export function drawResiduals(
  { job, residuals }: Pick<Calibration, "job" | "residuals">,
  options: Pick<ChartOptions, "width"> = {},
): Promise<Chart> {
  const named = subjectNamer(job);
  const rows = residuals.map(({ reading, residual }: ReadingResidual) => ({
    id: reading.id,
    label: labelOf(reading, named),
    residual,
  }));
  return drawChart(residualsChart(rows, options));
}

/** The fit of a job's readings, shared by all its pictures. */
function fitted(name: string, { job, readings, seed, onProgress, once }: PictureInput): JobPosterior {
  if (readings.length === 0)
    throw new UserError(
      "picture",
      `“${name}” is drawn from readings, and ${trialsFile(job.file)} has none yet. Write one row there for each reading first.`,
    );
  return once("posterior", () => jobPosterior(job, readings, { seed, onProgress }));
}

/** A picture that needs only the fit. */
const ofFit = (
  name: string,
  shows: string,
  draw: (found: Pick<Calibration, "job" | "fit" | "residuals">) => Promise<Chart>,
): JobPicture => ({
  name,
  shows,
  needs: "readings",
  draw(input) {
    const fit = present(fitted(name, input).fit);
    const residuals = input.once("residuals", () => residualsOf(fit, input.seed));
    return draw({ job: input.job, fit, residuals });
  },
});

/** A picture of the moves and their effect. */
const ofMoves = (
  name: string,
  shows: string,
  draw: (calibration: Calibration) => Promise<Chart>,
): JobPicture => ({
  name,
  shows,
  needs: "readings",
  draw(input) {
    const { job, readings, seed, onProgress, once } = input;
    const posterior = fitted(name, input);
    return draw(once("calibration", () => calibrateJob(job, readings, { seed, posterior, onProgress })));
  },
});

/** Pictures of a calibration. */
export const CALIBRATION_PICTURES: readonly JobPicture[] = [
  ofFit("cell-before", "the cell as the jigs are now", ({ job, fit }) => drawCell(job, fit, null)),
  ofMoves("cell-after", "the cell after the moves", (c) => drawCalibratedCell(c, "after")),
  ofFit("readings", "every reading beside what the fit expects", (c) => drawReadings(c)),
  ofFit("estimates", "every jig and stop with its 95 % interval", drawEstimates),
  ofFit("residuals", "what each reading leaves over", drawResiduals),
  ofMoves("forecast", "widest gaps of the cells to come, before and after the moves", drawForecast),
];
