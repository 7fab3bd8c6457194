/** Why a cell failed. */
export type FailureKind =
  /** The code did not pass the type check and was not run. */
  | "type"
  /** The code threw. */
  | "thrown"
  /** A promise nobody awaits was rejected. */
  | "rejection"
  /** An error came up outside the cell's own run: in a timer, an event. */
  | "background"
  /** The cell did not finish in time. */
  | "timeout"
  /** The kernel's process ended, or what it sent did not all arrive. */
  | "kernel";

export interface Failure {
  readonly kind: FailureKind;
  /** The notebook, as the caller named it. */
  readonly notebook: string;
  /** Which code cell, counted from 1; blank cells do not count. The number Jupyter shows beside the cell. */
  readonly cell: number;
  /** The place of that cell among all cells of the file, counted from 0. */
  readonly index: number;
  /** Line within the cell, counted from 1; null when it cannot be known. */
  readonly line: number | null;
  /** What went wrong, for a person, without a full stop. */
  readonly reason: string;
  /** Notebook, cell, line and reason in one sentence. */
  readonly message: string;
  /** The full text: diagnostics, stack or kernel log. */
  readonly detail: string;
}

export function failureOf(parts: Omit<Failure, "message">): Failure {
  const { notebook, cell, line, reason } = parts;
  const place = line === null ? `cell ${cell}` : `cell ${cell}, line ${line}`;
  return { ...parts, message: `${notebook} stopped at ${place}: ${reason}.` };
}
