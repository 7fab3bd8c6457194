import type { LengthUnit } from "../../core/quantity/index.js";
import { newJob } from "./new-job.js";

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
