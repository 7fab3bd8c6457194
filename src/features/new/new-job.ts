import { existsSync } from "node:fs";
import { basename, join, resolve } from "node:path";
import { writeFiles } from "../../core/files.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import { faultSentence, JobError, nearest, unknownWord } from "../../io/faults.js";
import { JOB_FILES, TRIALS_FILE } from "../../io/files.js";
import { shippedPattern, shippedPatterns } from "../../io/patterns/find-pattern.js";
import { starterJob } from "./starter-job.js";

export interface NewFlags {
  readonly units: LengthUnit;
  readonly pattern?: string;
}

/** `sukima new FOLDER`: a job to start from. */
export function newCommand(folder: string, { units, pattern }: NewFlags): string {
  const paths = newJob(folder, units, pattern);
  const typed = shellWord(folder);
  return [
    `Written: ${paths.join(" and ")}.`,
    "Change what differs in your shop; the comments say what each line is. Then",
    `  npx sukima predict ${typed}`,
    "lists the pieces and stops, and the gaps of a cell;",
    `  npx sukima card ${typed} --out card.html`,
    "draws the set-up card, before any trial and after. Cut trial pieces, write one row a reading",
    `into ${paths.at(-1)}, and`,
    `  npx sukima calibrate ${typed}`,
    "says what to move.",
  ].join("\n");
}

/** As it can be typed again. */
const shellWord = (text: string): string =>
  /^[\w./~+-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`;

/**
 * Writes a starter job into a folder, made when missing: `job.yaml` with a comment on every key, and `trials.csv` with its headings.
 * Its title is the folder's name.
 *
 * @param pattern name of a pattern of this project
 * @returns paths of the two files
 * @throws JobError when the folder holds a job or a table of trials already, or there is no such pattern; nothing is then written
 */
export function newJob(folder: string, units: LengthUnit = "mm", pattern = "asanoha-square"): string[] {
  const there = [...JOB_FILES, TRIALS_FILE].filter((name) => existsSync(join(folder, name)));
  if (there.length > 0) {
    const sentence = `There is a ${there.join(" and a ")} here already; a new job does not write over an old one.`;
    const example = "the name of a folder that is not there yet";
    throw new JobError([{ file: folder, line: 0, column: 0, field: "", sentence, example }]);
  }
  const shipped = shippedPattern(knownPattern(folder, pattern));
  return Object.values(writeFiles(folder, { ...starterJob(basename(resolve(folder)), units, shipped) }));
}

function knownPattern(folder: string, pattern: string): string {
  const known = shippedPatterns();
  if (known.includes(pattern)) return pattern;
  const [problem, rule] = unknownWord(pattern, "pattern", known);
  const sentence = faultSentence({ what: "pattern", problem, rule, value: pattern });
  const example = `--pattern ${nearest(pattern, known) ?? known[0]}`;
  throw new JobError([{ file: folder, line: 0, column: 0, field: "pattern", sentence, example }]);
}
