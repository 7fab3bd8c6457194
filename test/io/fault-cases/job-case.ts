import { FULL, LEAST } from "../good-job.js";

/** Stands in a text just before the place that a fault must name. */
export const MARK = "▸";

/** A job file with one thing wrong in it. */
export interface JobCase {
  readonly fault: string;
  /** With {@link MARK} in it. */
  readonly text: string;
  readonly field: string;
  readonly says: RegExp;
  /** `group`: the example is a key that the group lacks. `none`: it is advice. Otherwise it replaces what is wrong. */
  readonly mend?: "group" | "none";
}

/** A good text with one piece of it changed; the piece must be there. */
function change(good: string, piece: string, changed: string): string {
  if (!good.includes(piece)) throw new Error(`“${piece}” is not in the text`);
  return good.replace(piece, changed);
}
export const full = (piece: string, changed: string): string => change(FULL, piece, changed);
export const least = (piece: string, changed: string): string => change(LEAST, piece, changed);
export const added = (line: string): string => `${LEAST}${line}\n`;
