import { existsSync, mkdirSync, writeFileSync } from "node:fs";
import { basename, join, resolve } from "node:path";
import type { LengthUnit } from "../quantity/index.js";
import { JOB_FILES, TRIALS_FILE } from "./file/find-file.js";
import { JobError } from "./job-error.js";
import { starterJob } from "./starter/starter-job.js";

/**
 * Writes a starter job into a folder, made when missing: `job.yaml` with a comment on every key, and `trials.csv` with its headings.
 * Its title is the folder's name.
 *
 * @returns paths of the two files
 * @throws JobError when the folder holds a job or a table of trials already; nothing is then written
 */
export function newJob(folder: string, units: LengthUnit = "mm"): string[] {
  const there = [...JOB_FILES, TRIALS_FILE].filter((name) => existsSync(join(folder, name)));
  if (there.length > 0) {
    const sentence = `There is a ${there.join(" and a ")} here already; a new job does not write over an old one.`;
    const example = "the name of a folder that is not there yet";
    throw new JobError([{ file: folder, line: 0, column: 0, field: "", sentence, example }]);
  }
  mkdirSync(folder, { recursive: true });
  return Object.entries(starterJob(basename(resolve(folder)), units)).map(([name, text]) => {
    const path = join(folder, name);
    writeFileSync(path, text, { flag: "wx" });
    return path;
  });
}
