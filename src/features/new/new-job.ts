import { existsSync } from "node:fs";
import { basename, join, resolve } from "node:path";
import { writeFile, writeFiles } from "../../core/files.js";
import type { LengthUnit } from "../../core/quantity/index.js";
import { faultSentence, JobError, nearest, unknownWord } from "../../io/faults.js";
import { JOB_FILES, TRIALS_FILE } from "../../io/files.js";
import { loadJob } from "../../io/job/load-job.js";
import { shippedPattern, shippedPatterns } from "../../io/patterns/find-pattern.js";
import { cautionLines } from "../../render/cautions.js";
import { namesDrawing } from "../../render/cell/names-drawing.js";
import { starterJob } from "./starter-job.js";

export interface NewFlags {
  readonly units: LengthUnit;
  readonly pattern?: string;
}

/** `sukima new FOLDER`: a job to start from. */
export function newCommand(folder: string, { units, pattern }: NewFlags): string {
  const [job, trials, names] = newJob(folder, units, pattern);
  const typed = shellWord(folder);
  return [
    `Written: ${job}, ${trials} and ${names}.`,
    "1. Open job.yaml and set opening and strip to your own. Every other line can stay as it is;",
    "   its comment says what is then assumed. What to set the stops to:",
    `     npx sukima predict ${typed}`,
    "2. Cut trial pieces, measure them, and write one row for each reading into trials.csv.",
    "   names.svg shows what each joint and cut is called.",
    "3. What to move, and the card to print:",
    `     npx sukima calibrate ${typed}`,
    `     npx sukima card ${typed} --out card.html`,
    "",
    ...cautionLines(),
  ].join("\n");
}

/** As it can be typed again. */
const shellWord = (text: string): string =>
  /^[\w./~+-]+$/.test(text) ? text : `'${text.replaceAll("'", "'\\''")}'`;

/**
 * Writes a starter job into a folder, made when missing: `job.yaml` with a comment on every key, `trials.csv` with its headings, and
 * `names.svg`, which shows what each joint and cut is called.
 * Its title is the folder's name.
 *
 * @param pattern name of a pattern of this project
 * @returns paths of the three files
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
  const written = writeFiles(folder, { ...starterJob(titleOf(folder), units, shipped) });
  const names = join(folder, NAMES_FILE);
  writeFile(names, namesDrawing(loadJob(folder), { width: NAMES_WIDTH }).svg);
  return [...Object.values(written), names];
}

/** Most characters of a title made from a folder's name. */
const LONGEST_TITLE = 100;

/** The folder's name as the reader of a job takes a title: on one line, without characters that cannot be seen, and not too long. */
function titleOf(folder: string): string {
  const seen = basename(resolve(folder)).replace(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}\p{Cs}]/gu, " ");
  const [...characters] = seen.trim().replace(/\s+/g, " ");
  return characters.slice(0, LONGEST_TITLE).join("").trim() || "My screen";
}

/** A drawing of the names that joints and cuts have in a table of trials. */
const NAMES_FILE = "names.svg";
/** px: the cell beside its list. */
const NAMES_WIDTH = 620;

function knownPattern(folder: string, pattern: string): string {
  const known = shippedPatterns();
  if (known.includes(pattern)) return pattern;
  const [problem, rule] = unknownWord(pattern, "pattern", known);
  const sentence = faultSentence({ what: "pattern", problem, rule, value: pattern });
  const example = `--pattern ${nearest(pattern, known) ?? known[0]}`;
  throw new JobError([{ file: folder, line: 0, column: 0, field: "pattern", sentence, example }]);
}
