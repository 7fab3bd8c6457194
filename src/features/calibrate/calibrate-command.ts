import { join } from "node:path";
import { CliError } from "../../core/errors.js";
import { type Calibration, calibrateJob } from "../../inference/calibrate-job.js";
import { separatingReadings, signReadings } from "../../inference/design/telling-readings.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { separatingText, signReadingsText } from "../plan/index.js";
import { calibrationJson } from "./calibration-json.js";
import { calibrationText, nextRoundText } from "./calibration-text.js";
import { cardText } from "./card/card-text.js";
import { setUpCard } from "./card/set-up-card.js";

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
    throw new CliError(
      `${join(folder, "trials.csv")} has no readings yet; a calibration needs trial pieces that were cut and measured, one row for each reading; docs/job-files.md tells what a row holds.`,
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
  const signs = signReadingsText(signReadings(job, fit), fit, job);
  if (json)
    return JSON.stringify({ ...calibrationJson(calibration), signReadings: signs, separating }, null, 1);
  return `${calibrationText(calibration, [...signs, ...separating])}\n${cardText(setUpCard(calibration, today()))}${nextRoundText(calibration)}`;
}

export const today = (): string => new Date().toISOString().slice(0, 10);
