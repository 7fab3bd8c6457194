import { UserError } from "../core/errors.js";
import { at } from "../core/numeric/dense.js";
import { formatAngle, QuantityError } from "../core/quantity/index.js";
import { describe, listed, spellOut } from "../core/text.js";

/** Thrown for an unusable value, with what is wrong and the rule. The caller, which knows the position, turns it into a fault. */
export class Unfit extends Error {
  override readonly name = "Unfit";
  readonly problem: string;
  readonly rule: string;
  /** What was probably meant, as it should be written; `undefined` if that is unknown. */
  readonly meant: string | undefined;

  constructor(problem: string, rule: string, meant?: string) {
    super(`${problem}; ${rule}`);
    this.problem = problem;
    this.rule = rule;
    this.meant = meant;
  }
}

/** One thing wrong in a job file or a table of trials, and where. */
export interface JobFault {
  /** Path as the caller gave it, with the file's name added where a folder was given; for data made in memory, their name: `reading 3 (r3)`. */
  readonly file: string;
  /** Number of the line, from 1; 0 when the fault concerns the whole file or the data have no lines. */
  readonly line: number;
  /** From 1: in a job file the character in its line, in a table the cell in its row; 0 for the whole line or file. */
  readonly column: number;
  /** `jigs.point-45.ramp` in a job file, the heading in a table; empty for the whole line or file. */
  readonly field: string;
  /** What is wrong; the rule; the value. */
  readonly sentence: string;
  /** An example of a right value: `ramp: 45 deg` in a job file, the content of the cell in a table (possibly empty). */
  readonly example: string;
}

/** Number of faults printed before the message counts the rest; `faults` always has them all. */
export const PRINTED_FAULTS = 200;

/** A job that cannot be loaded. The message has one block for every fault, in the order of the file. */
export class JobError extends UserError {
  override readonly name = "JobError";
  readonly faults: readonly JobFault[];

  constructor(faults: readonly JobFault[]) {
    const sorted = [...faults].sort((a, b) => a.line - b.line || a.column - b.column);
    super("job", printed(sorted));
    this.faults = sorted;
  }
}

function printed(faults: readonly JobFault[]): string {
  const count = faults.length === 1 ? "One thing to mend:" : `${faults.length} things to mend:`;
  const left = faults.length - PRINTED_FAULTS;
  const more = left > 0 ? [`… and ${left} more. Mend these first; one cause may explain many.`] : [];
  return [count, ...faults.slice(0, PRINTED_FAULTS).map(block), ...more].join("\n\n");
}

function block({ file, line, column, field, sentence, example }: JobFault): string {
  const place = [file, ...(line > 0 ? [`line ${line}`] : []), ...(column > 0 ? [`column ${column}`] : [])];
  const where = place.join(", ") + (field === "" ? "" : `: ${field}`);
  return [where, `  ${sentence}`, `  Right would be: ${example === "" ? "(left empty)" : example}`]
    .map((line) => spellOut(line).replaceAll("\n", "\\u000A"))
    .join("\n");
}

export interface FaultParts {
  /** Name of the value in the joiner's words: `strip`, `low end`. */
  readonly what: string;
  readonly problem: string;
  readonly rule: string;
  /** Left out when the problem already shows it, or there is no value. */
  readonly value?: unknown;
}

/** Builds the sentence of a fault: what is wrong; the rule; the value. */
export function faultSentence({ what, problem, rule, value }: FaultParts): string {
  const found = value === undefined || value === null ? "" : `; the value was ${describe(value)}`;
  return `${what.charAt(0).toUpperCase()}${what.slice(1)}: ${problem}; ${rule}${found}.`;
}

/** Runs `read`; if it rejects `value`, passes the sentence to `refuse` and returns `undefined`. */
export function orRefuse<T>(
  what: string,
  value: unknown,
  read: () => T,
  refuse: (sentence: string, meant?: string) => void,
): T | undefined {
  try {
    return read();
  } catch (error) {
    if (!(error instanceof QuantityError || error instanceof Unfit)) throw error;
    const { problem, rule } = error;
    refuse(faultSentence({ what, problem, rule, value }), error instanceof Unfit ? error.meant : undefined);
    return undefined;
  }
}

const COMPARED_LENGTH = 60;

/** The known word that was most likely meant; `undefined` when none is similar. */
export function nearest(word: string, known: readonly string[]): string | undefined {
  if (word.length > COMPARED_LENGTH) return undefined;
  const typed = plain(word);
  let best: string | undefined;
  // A third of the letters may be wrong, and at least one unless the word is very short.
  let least = Math.max(typed.length > 2 ? 1 : 0, Math.floor(typed.length / 3)) + 1;
  for (const candidate of known) {
    // A difference in length costs at least that many edits.
    if (Math.abs(candidate.length - typed.length) >= least) continue;
    const distance = editDistance(typed, plain(candidate));
    if (distance < least) [best, least] = [candidate, distance];
  }
  return best ?? onlyOneWith(typed, known);
}

const SHORTEST_PART = 3;

/** The only known word that contains `part`. */
function onlyOneWith(part: string, known: readonly string[]): string | undefined {
  if (part.length < SHORTEST_PART) return undefined;
  const [only, ...others] = known.filter((word) => plain(word).includes(part));
  return others.length === 0 ? only : undefined;
}

/** The known word in its own spelling, matched regardless of case; `undefined` if none or more than one matches. */
export function wordIn<T extends string>(known: readonly T[], typed: string): T | undefined {
  const exact = known.find((word) => word === typed);
  if (exact !== undefined) return exact;
  const [only, ...others] = known.filter((word) => word.toLowerCase() === typed.toLowerCase());
  return others.length === 0 ? only : undefined;
}

/** Problem and rule for a word that is not among those known: `there is no such bench`, `did you mean corner-90? It must be …`. */
export function unknownWord(typed: string, kind: string, known: readonly string[]): [string, string] {
  const near = nearest(typed, known);
  const guess = near === undefined ? "" : `did you mean ${near}? `;
  const choice = known.length === 0 ? "this job has none" : `it must be ${listed(known, "or")}`;
  return [
    `there is no such ${kind}`,
    guess + (guess ? `${choice.charAt(0).toUpperCase()}${choice.slice(1)}` : choice),
  ];
}

const plain = (word: string): string => word.toLowerCase().replace(/[\s_]+/g, "-");

/** Edit distance: letters to change, add, leave out, or swap with their neighbour. */
function editDistance(a: string, b: string): number {
  let before: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const same = a[i - 1] === b[j - 1] ? 0 : 1;
      let least = Math.min(at(last, j) + 1, at(row, j - 1) + 1, at(last, j - 1) + same);
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1])
        least = Math.min(least, at(before, j - 2) + 1);
      row.push(least);
    }
    [before, last] = [last, row];
  }
  return at(last, b.length);
}

/** An angle as written on a label: `22.5°`. */
export const degreesText = (rad: number): string => formatAngle(rad, { digits: 4 }).replace(/\.?0+°/, "°");
