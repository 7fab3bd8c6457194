import { UserError } from "../../core/errors.js";
import { at, present } from "../../core/numeric/dense.js";
import { type Calibration, calibrateJob } from "../../inference/calibrate-job.js";
import type { SourceEstimate } from "../../inference/estimates/fit-sources.js";
import type { ReadingResidual } from "../../inference/estimates/judge-fit.js";
import { instrumentVariance } from "../../inference/likelihood/reading-likelihood.js";
import { cellSpecimen, errorsFrom } from "../../inference/likelihood/specimen.js";
import { expectBlock } from "../../inference/likelihood/trial-blocks.js";
import { QUANTITIES, type Reading, type ReadQuantity } from "../../model/readings.js";
import { predictAsMade } from "../../physics/fitting/fit-lengths.js";
import { cellDrawing } from "../../render/cell/cell-drawing.js";
import { type Chart, drawChart } from "../../render/charts/draw-chart.js";
import { estimatesChart } from "../../render/charts/estimates-chart.js";
import { binGaps, gapDistribution, gapEdges } from "../../render/charts/gap-distribution.js";
import { readingsChart } from "../../render/charts/readings-chart.js";
import { residualsChart } from "../../render/charts/residuals-chart.js";
import type { JobPicture } from "../../render/pictures.js";
import { signAxis, subjectText } from "../../render/shared-text.js";
import { chanceText, smallUnit } from "../../render/shop-numbers.js";
import { sourceText } from "../../render/source-text.js";

/** Half-width of a 95 % interval in standard deviations, k = 2 (JCGM 100:2008, G.6.6). */
const K = 2;

/**
 * Each reading of the quantities asked for beside what the fit expects of it; angles, lengths and thicknesses as differences from nominal.
 *
 * @example
 * (await drawReadings(calibration, ["gap"])).svg.startsWith("<svg") // true
 */
export function drawReadings(
  calibration: Calibration,
  quantities: readonly ReadQuantity[] = QUANTITIES,
): Promise<Chart> {
  const { job, residuals } = calibration;
  const nominal = nominalReadings(calibration);
  const instruments = new Map(job.instruments.map((instrument) => [instrument.name, instrument]));
  const rows = residuals.flatMap((row, i) => {
    const { reading, expected, interval, outlier } = row;
    if (!quantities.includes(reading.what)) return [];
    const base = reading.what === "gap" ? 0 : at(nominal, i);
    const own = Math.sqrt(instrumentVariance(present(instruments.get(reading.instrument)), reading));
    const from = (x: number | null): number | null => (x === null ? null : x - base);
    const shown = {
      ...{
        id: reading.id,
        label: labelOf(reading),
        group: `${reading.what}, ${reading.instrument}`,
        outlier,
      },
      unit: reading.what === "angle" ? ("deg" as const) : smallUnit(job.units),
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
  const sizes = quantities.some((what) => what === "length" || what === "thickness");
  const length = !gaps ? "Size, from nominal" : sizes ? "Gap, or size from nominal" : "Gap";
  return drawChart(readingsChart(rows, { axisTitles: { length } }));
}

/** What every reading would show with nothing wrong. */
function nominalReadings({ fit, job }: Calibration): Float64Array {
  const out = new Float64Array(fit.likelihood.readings.length);
  for (const block of fit.likelihood.blocks) {
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

function labelOf(reading: Reading): string {
  const { id, what, trial, at, bench } = reading;
  const where = bench === "none" ? "" : `, ${bench}`;
  return `${id}: ${what}${at ? ` at ${at}` : ""}, ${trial}${where}, ${subjectText(reading)}`;
}

/**
 * Every source's estimate with its 95 % interval, and behind it what was believed before: two prior standard deviations about the prior mean.
 *
 * @example
 * (await drawEstimates(calibration)).svg.startsWith("<svg") // true
 */
export function drawEstimates({ job, fit }: Calibration): Promise<Chart> {
  const rows = fit.sources.flatMap((source) =>
    placesOf(source).map((place) => ({
      ...place,
      unit: source.angular ? ("deg" as const) : smallUnit(job.units),
      axis: signAxis(source.id),
      priorLow: (source.priorMean ?? 0) - K * source.priorSd,
      priorHigh: (source.priorMean ?? 0) + K * source.priorSd,
    })),
  );
  return drawChart(estimatesChart(rows));
}

/** Where a source may lie: its interval, or one on either side of zero where its sign is not told. */
function placesOf({ id, estimate, interval, sides }: SourceEstimate) {
  const name = sourceText(id);
  if (!sides) return [{ name, estimate, low: interval[0], high: interval[1] }];
  return [
    { sign: "+", side: sides.above },
    { sign: "−", side: sides.below },
  ].map(({ sign, side: { estimate: at, standardUncertainty: u } }) => ({
    ...{ name: `${name}, if ${sign}`, estimate: at, low: at - K * u, high: at + K * u },
  }));
}

/**
 * The cell as the estimates have it, of each sign that is not told the likelier, before or after the moves, cut-to-cut errors left out.
 *
 * @example
 * (await drawCalibratedCell(calibration, "after")).text.length > 0 // true
 */
export function drawCalibratedCell(
  { job, fit, decision }: Calibration,
  when: "before" | "after",
): Promise<Chart> {
  const specimen = cellSpecimen(job, fit.likelihood.cells);
  const change = when === "after" ? decision.moves.change : new Float64Array(fit.sources.length);
  const errors = errorsFrom(
    specimen,
    fit.oneSide.estimates.map((estimate, i) => estimate + at(change, i)),
  );
  const made = predictAsMade(job, specimen.cell, errors, false);
  const fitted = made.groups === null ? "" : ", pieces fitted by trial";
  const open = fit.sources.some(({ sides }) => sides !== null) ? ", unknown signs as is likelier" : "";
  const title =
    (when === "before" ? "The cell as the jigs are now" : "The cell after the moves") + fitted + open;
  const limits = { gapLimit: job.limits.gap, snugLimit: job.limits.snug };
  return drawChart(
    cellDrawing({ cell: specimen.cell, ...made }, { title, unit: smallUnit(job.units), ...limits }),
  );
}

/** How the widest gap of the cells to come is spread, before and after the moves. */
export function drawForecast({ job, before, after }: Calibration): Promise<Chart> {
  const edges = gapEdges([before.widestGap, after.widestGap], { gapLimit: job.limits.gap });
  const closing = (closes: number): string => `${chanceText(closes)} of the cells close`;
  return drawChart(
    gapDistribution(
      {
        before: { ...binGaps(before.widestGap, edges), says: closing(before.closes) },
        after: { ...binGaps(after.widestGap, edges), says: closing(after.closes) },
        gapLimit: job.limits.gap,
      },
      { unit: smallUnit(job.units), title: "The widest gap before and after the moves" },
    ),
  );
}

/** What each reading leaves over, in its own standard deviations. */
export function drawResiduals({ residuals }: Calibration): Promise<Chart> {
  const rows = residuals.map(({ reading, residual }: ReadingResidual) => ({
    ...{ id: reading.id, label: labelOf(reading), residual },
  }));
  return drawChart(residualsChart(rows));
}

const offered = (
  name: string,
  shows: string,
  draw: (calibration: Calibration) => Promise<Chart>,
): JobPicture => ({
  ...{ name, shows, needs: "readings" },
  draw({ job, readings, seed, onProgress }) {
    if (readings.length === 0)
      throw new UserError(
        "picture",
        `“${name}” shows trial cuts; the job needs a trials.csv; it has no readings.`,
      );
    return draw(calibrateJob(job, readings, { seed, onProgress }));
  },
});

/** Pictures of a calibration. */
export const CALIBRATION_PICTURES: readonly JobPicture[] = [
  offered("cell-before", "the cell as the jigs are now", (c) => drawCalibratedCell(c, "before")),
  offered("cell-after", "the cell after the moves", (c) => drawCalibratedCell(c, "after")),
  offered("readings", "every reading beside what the fit expects", (c) => drawReadings(c)),
  offered("estimates", "every jig and stop with its 95 % interval", drawEstimates),
  offered("residuals", "what each reading leaves over", drawResiduals),
  offered("forecast", "widest gaps of the cells to come, before and after the moves", drawForecast),
];
