import { join } from "node:path";
import { UserError } from "../../core/errors.js";
import { writeFile } from "../../core/files.js";
import { DEGREE } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { type Calibration, calibrateJob } from "../../inference/calibrate-job.js";
import type { CalibrationForecast } from "../../inference/calibration-forecast.js";
import { nextReadings } from "../../inference/design/next-readings.js";
import type { SourceEstimate } from "../../inference/estimates/fit-sources.js";
import { inUnitsOf } from "../../inference/estimates/identifiability.js";
import { pairRegions } from "../../inference/estimates/pair-regions.js";
import { loadJob } from "../../io/job/load-job.js";
import { requireOutput } from "../../io/outputs.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { isAngleReading } from "../../model/readings.js";
import { evidenceJson, evidenceText } from "../../render/evidence-text.js";
import { misfitJson } from "../../render/misfit-text.js";
import { unidentifiedSignTexts } from "../../render/shared-text.js";
import { sourceText } from "../../render/source-text.js";
import { markdownText } from "../../render/text.js";
import { separatingText, signReadingsText, tellingText } from "../plan/index.js";
import { calibrationAnswer } from "./calibration-answer.js";
import { calibrationText, nextRoundText } from "./calibration-text.js";
import { cardSheet } from "./card/card-sheet.js";
import { cardText } from "./card/card-text.js";
import { setUpCard, unseparatedText } from "./card/set-up-card.js";
import { sheetHtml } from "./card/sheet-html.js";
import { decisionJson, movesJson } from "./decision-json.js";

export interface CalibrateFlags {
  readonly json?: boolean;
  readonly details?: boolean;
  readonly seed: number;
}

/**
 * A job's folder, loaded and calibrated.
 *
 * @param alsoWithoutPriors whether each source is also estimated from the readings alone.
 */
export function calibrateFolder(
  folder: string,
  seed: number,
  onProgress: (step: string) => void,
  alsoWithoutPriors = true,
): Calibration {
  const job = loadJob(folder);
  const readings = loadTrials(join(folder, "trials.csv"), job);
  if (readings.length === 0)
    throw new UserError(
      "command",
      `${join(folder, "trials.csv")} has no readings yet. Cut trial pieces, measure them, and write one row for each reading; docs/job-files.md says what a row holds.`,
    );
  return calibrateJob(job, readings, { seed, alsoWithoutPriors, onProgress });
}

/** `sukima calibrate JOBFOLDER`: the sources, the moves, and the card. */
export function calibrateCommand(
  folder: string,
  { json, details, seed }: CalibrateFlags,
  onProgress: (step: string) => void,
): string {
  const calibration = calibrateFolder(folder, seed, onProgress, json === true || details === true);
  if (json) return calibrationData(calibration, seed);
  if (details) return printedCalibration(calibration, seed);
  return calibrationAnswer(calibration, readNextText(calibration, seed), today());
}

/** What `sukima calibrate --details` prints; the bench page shows the same. */
export function printedCalibration(calibration: Calibration, seed: number): string {
  const { separating, signs } = readingsToTake(calibration, seed);
  const card = cardText(setUpCard(calibration, today()));
  return `${evidenceText(calibration.posterior)}\n${card}${nextRoundText(calibration)}\n${calibrationText(calibration, [...signs, ...separating])}`;
}

function calibrationData(calibration: Calibration, seed: number): string {
  const { separating, signs } = readingsToTake(calibration, seed);
  return JSON.stringify({ ...calibrationJson(calibration), signReadings: signs, separating }, null, 1);
}

/** The readings that would identify what the present ones do not, as sentences; only those of `nextReadings`. */
export function readingsToTake(
  { job, fit, decision }: Calibration,
  seed: number,
): Record<"separating" | "signs", string[]> {
  const { signs, separating } = nextReadings(job, fit, decision, seed);
  return { separating: separatingText(separating, job), signs: signReadingsText(signs, job) };
}

/** What to read next, unless the card already says what to read before anything is moved; empty if no reading is worthwhile. */
function readNextText({ job, fit, decision }: Calibration, seed: number): string {
  const { beforeMoving, whenConvenient, signs, separating } = nextReadings(job, fit, decision, seed);
  if (beforeMoving.length > 0) return "";
  const [convenient] = whenConvenient;
  if (convenient) return tellingText(convenient.reading, job);
  return [...signReadingsText(signs, job), ...separatingText(separating, job)][0] ?? "";
}

/** The date for everything that is printed or kept, in the local time zone instead of UTC: `2026-03-21`. */
export function today(now = new Date()): string {
  const two = (part: number): string => String(part).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}

export interface CardFlags {
  readonly out: string;
  readonly seed: number;
}

/** `sukima card JOBFOLDER --out FILE`: the set-up card as a page to print. */
export function cardCommand(
  folder: string,
  { out, seed }: CardFlags,
  onProgress: (step: string) => void,
): string {
  requireOutput(out, "page");
  const job = loadJob(folder);
  if (job.jigs.length === 0)
    throw new UserError(
      "command",
      `${job.file} names no jigs; a set-up card shows how each jig is set; sukima new writes a job that has them.`,
    );
  const readings = loadTrials(join(folder, "trials.csv"), job);
  const calibration =
    readings.length === 0
      ? null
      : calibrateJob(job, readings, { seed, alsoWithoutPriors: false, onProgress });
  const sheet = cardSheet(job, calibration, today());
  writeFile(out, sheetHtml(sheet, job));
  const paper = sheet.paper === "A5" ? "A5" : "half letter (5.5 × 8.5 in)";
  const before = calibration === null ? " There are no readings yet: it has the settings to begin with." : "";
  return `The set-up card: ${out}. Open it in a browser and print it on ${paper}; after the card come the names of the joints.${before}`;
}

/** A calibration as plain data for other programs: lengths in mm, angles in degrees. */
export function calibrationJson(calibration: Calibration): object {
  const { fit, verdict, residuals, before, after } = calibration;
  const p = fit.sources.length;
  const unitOf = ({ angular }: SourceEstimate): number => (angular ? DEGREE : 1);
  const sources = fit.sources.map((source) => {
    const unit = unitOf(source);
    const { withoutPrior: alone } = source;
    return {
      name: sourceText(source.id),
      id: source.id,
      unit: source.angular ? "deg" : "mm",
      estimate: source.estimate / unit,
      standardUncertainty: source.standardUncertainty / unit,
      interval95: source.interval.map((end) => end / unit),

      priorSd: source.priorSd / unit,
      current: {
        estimate: source.current.estimate / unit,
        standardUncertainty: source.current.standardUncertainty / unit,
      },
      sides: source.sides && inUnitsOf(source.sides, 1 / unit),
      learned: source.learned,
      fromData: source.fromData,
      withoutPrior: alone && {
        estimate: alone.estimate / unit,
        standardUncertainty: alone.standardUncertainty / unit,
      },
    };
  });
  const correlations = fit.sources.map((_, i) =>
    fit.sources.map((__, j) => {
      const variance = (k: number): number => at(fit.covariance, k * p + k);
      return at(fit.covariance, i * p + j) / Math.sqrt(variance(i) * variance(j));
    }),
  );
  return {
    ...evidenceJson(calibration.posterior),
    sources,
    correlations,
    effectiveSampleSize: fit.effectiveSampleSize,
    unseparated: fit.unseparated.map(({ weights, remaining }) => ({
      weights: weights.map(({ source: id, weight }) => ({ source: sourceText(id), id, weight })),
      remaining,
    })),
    pairs: pairRegions(fit).map(({ pair, correlation, axes, holds }) => ({
      sources: pair.map((i) => sourceText(at(fit.sources, i).id)),
      ids: pair.map((i) => at(fit.sources, i).id),
      correlation,
      halfAxes: axes.map((axis) =>
        axis.map((length, k) => {
          const source = at(fit.sources, at(pair, k));
          return (length * source.standardUncertainty) / unitOf(source);
        }),
      ),
      holds,
    })),
    fit: { ...verdict, misfit: misfitJson(verdict.misfit) },
    residuals: residuals.map(({ reading, expected, interval, residual, outlier }) => {
      const unit = isAngleReading(reading.what) ? DEGREE : 1;
      return {
        id: reading.id,
        what: reading.what,
        unit: isAngleReading(reading.what) ? "deg" : "mm",
        residual,
        outlier,
        expected: expected / unit,
        interval95: interval.map((end) => end / unit),
      };
    }),
    moves: movesJson(calibration),
    decision: decisionJson(calibration),
    betweenCutSd: scatterJson(fit),
    before: forecastJson(before),
    after: forecastJson(after),
  };
}

/** The scatters from cut to cut that the fit used: stated, used, and whether they were estimated from the readings; degrees and mm. */
const scatterJson = ({ betweenCutSd }: Calibration["fit"]): object =>
  Object.fromEntries(
    Object.entries(betweenCutSd).map(([of, { stated, used, estimated, degreesOfFreedom }]) => {
      const unit = of === "angle" ? DEGREE : 1;
      return [of, { stated: stated / unit, used: used / unit, estimated, degreesOfFreedom }];
    }),
  );

function forecastJson({
  gap,
  press,
  closes,
  closesUncertainty,
  shops,
  orderDifference,
  widestGap,
}: CalibrationForecast): object {
  return {
    closes,
    closesUncertainty,
    shops,
    orderDifference,
    cells: widestGap.length,
    widestGap: { median: gap.median, interval95: gap.interval },
    deepestPress: { median: press.median, interval95: press.interval },
  };
}

/** The signs and sources that the readings do not identify, each with the one reading that would be most informative, as a Markdown list. */
export function unidentifiedText(calibration: Calibration): string {
  const { job, fit } = calibration;
  const { signs, separating } = readingsToTake(calibration, 1);
  const lines = [
    ...unidentifiedSignTexts(fit.sources, job),
    ...signs,
    ...fit.unseparated.map(unseparatedText),
    ...separating,
  ];
  if (lines.length === 0) return "These readings tell all errors apart.";
  return lines.map((line) => `- ${markdownText(line)}`).join("\n");
}
