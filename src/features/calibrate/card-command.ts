import { join } from "node:path";
import { CliError } from "../../core/errors.js";
import { writeFile } from "../../core/files/write-files.js";
import { calibrateJob } from "../../inference/calibrate-job.js";
import { loadJob } from "../../io/job/load-job.js";
import { loadTrials } from "../../io/trials/load-trials.js";
import { today } from "./calibrate-command.js";
import { cardSheet } from "./card/card-sheet.js";
import { sheetHtml } from "./card/sheet-html.js";

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
    throw new CliError(
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
