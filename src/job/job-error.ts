import { spellOut } from "../quantity/spell-out.js";

/** One thing wrong in a job file or a table of trials, and where. */
export interface JobFault {
  /** Path as the caller gave it, with the file's name added where a folder was given. */
  readonly file: string;
  /** Number of the line, 1 for the first; 0 when the fault is the file itself. */
  readonly line: number;
  /** Counted from 1: in a job file the character in its line, in a table the cell in its row. 0 for the whole line or file. */
  readonly column: number;
  /** `jigs.point-45.ramp` in a job file, the heading in a table; empty for the whole line or file. */
  readonly field: string;
  /** What is wrong; the rule; the value. */
  readonly sentence: string;
  /** What would be right there: `ramp: 45 deg` in a job file, the cell in a table (empty: nothing in it). */
  readonly example: string;
}

/** Blocks that a message prints before it says how many more there are; `faults` always has them all. */
export const PRINTED_FAULTS = 200;

/** A job that cannot be loaded. The message has one block for every fault, in the order of the file. */
export class JobError extends Error {
  override readonly name = "JobError";
  readonly faults: readonly JobFault[];

  constructor(faults: readonly JobFault[]) {
    const sorted = [...faults].sort((a, b) => a.line - b.line || a.column - b.column);
    super(printed(sorted));
    this.faults = sorted;
  }
}

function printed(faults: readonly JobFault[]): string {
  const count = faults.length === 1 ? "One thing to mend:" : `${faults.length} things to mend:`;
  const left = faults.length - PRINTED_FAULTS;
  const more = left > 0 ? [`… and ${left} more. Mend these first; one cause may stand behind many.`] : [];
  return [count, ...faults.slice(0, PRINTED_FAULTS).map(block), ...more].join("\n\n");
}

function block({ file, line, column, field, sentence, example }: JobFault): string {
  const place = [file, ...(line > 0 ? [`line ${line}`] : []), ...(column > 0 ? [`column ${column}`] : [])];
  const where = place.join(", ") + (field === "" ? "" : `: ${field}`);
  return [where, `  ${sentence}`, `  Right would be: ${example === "" ? "(left empty)" : example}`]
    .map((line) => spellOut(line).replaceAll("\n", "\\u000A"))
    .join("\n");
}
