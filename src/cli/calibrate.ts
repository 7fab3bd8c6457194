import { join } from "node:path";
import { type Calibration, calibrateJob } from "../calibrate/calibrate-job.js";
import { loadJob } from "../job/load-job.js";
import { loadTrials } from "../job/load-trials.js";
import { separatingReadings } from "../plan/separating-readings.js";
import { settlingReadings } from "../plan/settling-readings.js";
import { calibrationJson } from "../report/card/calibration-json.js";
import { cardText } from "../report/card/card-text.js";
import { setUpCard } from "../report/card/set-up-card.js";
import { calibrationText } from "../report/text/calibration-text.js";
import { nextRoundText } from "../report/workshop/next-round-text.js";
import { separatingText } from "../report/workshop/separating-text.js";
import { settlingText } from "../report/workshop/settling-text.js";
import { CliError } from "../core/errors.js";

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
  const settling = settlingText(settlingReadings(job, fit), fit, job);
  if (json) return JSON.stringify({ ...calibrationJson(calibration), settling, separating }, null, 1);
  return `${calibrationText(calibration, [...settling, ...separating])}\n${cardText(setUpCard(calibration, today()))}${nextRoundText(calibration)}`;
}

export const today = (): string => new Date().toISOString().slice(0, 10);
