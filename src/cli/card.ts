import { join } from "node:path";
import { calibrateJob } from "../calibrate/calibrate-job.js";
import { writeFile } from "../files/write-file.js";
import { loadJob } from "../job/load-job.js";
import { loadTrials } from "../job/load-trials.js";
import { cardSheet } from "../report/card/sheet/card-sheet.js";
import { sheetHtml } from "../report/card/sheet/sheet-html.js";
import { today } from "./calibrate.js";
import { CliError } from "../core/errors.js";

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
