/** One comparison with a figure from outside the project. */
export interface Check {
  /** `gum-h1/u`: group, then quantity. */
  readonly id: string;
  /** Document and clause; or "common practice, no source". */
  readonly source: string;
  readonly quantity: string;
  readonly published: number;
  readonly ours: number;
  /** Largest |ours − published| that passes, in the quantity's unit. */
  readonly tolerance: number;
  /** Significant digits that agree, −log₁₀ of the relative difference, 0 … 15. */
  readonly digits: number;
  readonly pass: boolean;
}

/** A comparison that could not be made here: a library that it needs, and only checks need, is not installed. */
export interface Skipped extends Pick<Check, "id" | "source" | "quantity"> {
  readonly skipped: string;
}

export type Outcome = Check | Skipped;

export const isSkipped = (outcome: Outcome): outcome is Skipped => "skipped" in outcome;
export const isDone = (outcome: Outcome): outcome is Check => !isSkipped(outcome);

/** Checks that belong together: one source or one topic. */
export interface CheckGroup {
  readonly title: string;
  /** How the tolerance of these rows was set, before they were run. */
  readonly rule: string;
  readonly checks: () => readonly Outcome[] | Promise<readonly Outcome[]>;
}

/** Compares; a value of ours that is no number fails. */
export function compare(row: Omit<Check, "digits" | "pass">): Check {
  return {
    ...row,
    digits: agreeingDigits(row.ours, row.published),
    pass: Math.abs(row.ours - row.published) <= row.tolerance,
  };
}

const MOST_DIGITS = 15;

function agreeingDigits(ours: number, published: number): number {
  const difference = Math.abs(ours - published);
  if (difference === 0) return MOST_DIGITS;
  const digits = -Math.log10(difference / (published === 0 ? 1 : Math.abs(published)));
  return Math.min(MOST_DIGITS, Math.max(0, Number.isNaN(digits) ? 0 : digits));
}

/** Rows of one source: [id, quantity, published, ours, tolerance]. */
export type Row = readonly [id: string, quantity: string, published: number, ours: number, tolerance: number];

/** Compares rows of one source. */
export function compareRows(group: string, source: string, rows: readonly Row[]): Check[] {
  return rows.map(([id, quantity, value, ours, tolerance]) =>
    compare({ id: `${group}/${id}`, source, quantity, published: value, ours, tolerance }),
  );
}

/** The same rows where what they compare with is missing: named, not compared. */
export function skipRows(
  group: string,
  source: string,
  rows: readonly (readonly [id: string, quantity: string, ...rest: unknown[]])[],
  library: string,
): Skipped[] {
  return rows.map(([id, quantity]) => ({
    ...{ id: `${group}/${id}`, source, quantity },
    skipped: `${library} is not installed`,
  }));
}

/** Half a unit of the last of `decimals` printed decimals, with a hair for the binary form of the decimal. */
export const printedTo = (decimals: number): number => 0.5000001 * 10 ** -decimals;
