import { join } from "node:path";
import { UserError } from "../../core/errors.js";
import { writeFile } from "../../core/files.js";
import { DEGREE } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { type Calibration, type CalibrationForecast, calibrateJob } from "../../inference/calibrate-job.js";
import { separatingReadings, signReadings } from "../../inference/design/informative-readings.js";
import type { SourceEstimate } from "../../inference/estimates/fit-sources.js";
import { inUnitsOf } from "../../inference/estimates/identifiability.js";
import { pairRegions } from "../../inference/estimates/intervals.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { unidentifiedSignTexts } from "../../render/shared-text.js";
import { sourceText } from "../../render/source-text.js";
import { markdownText } from "../../render/text.js";
import { separatingText, signReadingsText } from "../plan/index.js";
import { calibrationText, nextRoundText } from "./calibration-text.js";
import { cardSheet } from "./card/card-sheet.js";
import { cardText } from "./card/card-text.js";
import { setUpCard, unseparatedText } from "./card/set-up-card.js";
import { sheetHtml } from "./card/sheet-html.js";

export interface CalibrateFlags {
  readonly json?: boolean;
  readonly seed: number;
}

/** A job's folder, loaded and calibrated. */
export function calibrateFolder(
  folder: string,
  seed: number,
  onProgress: (step: string) => void,
): Calibration {
  const job = loadJob(folder);
  const readings = loadTrials(join(folder, "trials.csv"), job);
  if (readings.length === 0)
    throw new UserError(
      "command",
      `${join(folder, "trials.csv")} has no readings yet; a calibration needs trial pieces that were cut and measured, one row for each reading; docs/job-files.md says what a row holds.`,
    );
  return calibrateJob(job, readings, { seed, onProgress });
}

/** `sukima calibrate JOBFOLDER`: the sources, the moves, and the card. */
export function calibrateCommand(
  folder: string,
  { json, seed }: CalibrateFlags,
  onProgress: (step: string) => void,
): string {
  const calibration = calibrateFolder(folder, seed, onProgress);
  const { job, fit } = calibration;
  const separating = separatingText(separatingReadings(job, fit, seed));
  const signs = signReadingsText(signReadings(job, fit), job);
  if (json)
    return JSON.stringify({ ...calibrationJson(calibration), signReadings: signs, separating }, null, 1);
  return `${calibrationText(calibration, [...signs, ...separating])}\n${cardText(setUpCard(calibration, today()))}${nextRoundText(calibration)}`;
}

export const today = (): string => new Date().toISOString().slice(0, 10);

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
  const job = loadJob(folder);
  if (job.jigs.length === 0)
    throw new UserError(
      "command",
      `${job.file} names no jigs; a set-up card shows how each jig is set; sukima new writes a job that has them.`,
    );
  const readings = loadTrials(join(folder, "trials.csv"), job);
  const calibration = readings.length === 0 ? null : calibrateJob(job, readings, { seed, onProgress });
  const sheet = cardSheet(job, calibration, today());
  writeFile(out, sheetHtml(sheet));
  const paper = sheet.paper === "A5" ? "A5" : "half letter (5.5 × 8.5 in)";
  const before = calibration === null ? " There are no readings yet: it has the settings to begin with." : "";
  return `The set-up card: ${out}. Open it in a browser and print it on ${paper}.${before}`;
}

/** A calibration as plain data for other programs: lengths in mm, angles in degrees. */
export function calibrationJson(calibration: Calibration): object {
  const { fit, profiles, decision, verdict, residuals, before, after } = calibration;
  const p = fit.sources.length;
  const unitOf = ({ angular }: SourceEstimate): number => (angular ? DEGREE : 1);
  const sources = fit.sources.map((source, i) => {
    const unit = unitOf(source);
    const { withoutPrior: alone } = source;
    return {
      name: sourceText(source.id),
      id: source.id,
      unit: source.angular ? "deg" : "mm",
      estimate: source.estimate / unit,
      standardUncertainty: source.standardUncertainty / unit,
      interval95: source.interval.map((end) => end / unit),
      profile95: at(profiles, i).map((end) => end / unit),
      likeliest: source.likeliest / unit,
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
    fit: verdict,
    residuals: residuals.map(({ reading, expected, interval, residual, outlier }) => {
      const unit = reading.what === "angle" ? DEGREE : 1;
      return {
        ...{
          id: reading.id,
          what: reading.what,
          unit: reading.what === "angle" ? "deg" : "mm",
          residual,
          outlier,
        },
        expected: expected / unit,
        interval95: interval.map((end) => end / unit),
      };
    }),
    moves: decision.advice.map(
      ({
        adjuster,
        verdict: advice,
        setting,
        wanted,
        standardUncertainty,
        gain,
        valueOfInformation,
        reason,
      }) => {
        const unit = adjuster.kind === "shim" ? DEGREE : 1;
        return {
          ...{
            adjuster: adjuster.name,
            kind: adjuster.kind,
            verdict: advice,
            leaves: setting.leaves,
            steps: setting.steps,
          },
          unit: adjuster.kind === "shim" ? "deg" : "mm",
          change: setting.change / unit,
          wanted: wanted / unit,
          standardUncertainty: standardUncertainty / unit,
          ...{ gain, valueOfInformation, reason },
        };
      },
    ),
    before: forecastJson(before),
    after: forecastJson(after),
  };
}

function forecastJson({
  gap,
  press,
  closes,
  closesUncertainty,
  orderDifference,
  widestGap,
}: CalibrationForecast): object {
  return {
    ...{ closes, closesUncertainty, orderDifference, cells: widestGap.length },
    widestGap: { median: gap.median, interval95: gap.interval },
    deepestPress: { median: press.median, interval95: press.interval },
  };
}

/** What the readings do not tell, a sign or a source, and the one reading that would tell most of it, as a Markdown list. */
export function unidentifiedText({ job, fit }: Calibration): string {
  const lines = [
    ...unidentifiedSignTexts(fit.sources, job),
    ...signReadingsText(signReadings(job, fit), job),
    ...fit.unseparated.map(unseparatedText),
    ...separatingText(separatingReadings(job, fit)),
  ];
  if (lines.length === 0) return "These readings tell all errors apart.";
  return lines.map((line) => `- ${markdownText(line)}`).join("\n");
}
