import { readFileSync } from "node:fs";
import { join } from "node:path";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";

/**
 * What a row compares with.
 * `printed`: a figure read in a published document, or in a transcription of it. `recomputed`: computed apart from the project from published inputs.
 * `remembered`: written down from memory, not seen. `closed form`: a formula worked out by hand. `other library`, `second implementation`: another
 * program's result. `self-consistency`: the project against itself by another route, or against the file its own figures came from.
 * `common practice`: what makers do, no document.
 */
export const KINDS = [
  "printed",
  "recomputed",
  "remembered",
  "closed form",
  "other library",
  "second implementation",
  "self-consistency",
  "common practice",
] as const;
export type Kind = (typeof KINDS)[number];

/** One comparison. */
export interface Check {
  /** `gum-h1/u`: group, then quantity. */
  readonly id: string;
  readonly kind: Kind;
  /** What the figure stands in, by its short name: the rows are counted by it. */
  readonly document: string;
  /** Document and clause. */
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
export interface Skipped extends Pick<Check, "id" | "kind" | "document" | "source" | "quantity"> {
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

/** The first row that misses, where nothing more is wanted than whether one does. */
export class FirstMiss extends Error {
  override readonly name = "FirstMiss";

  /** @param id of the row */
  constructor(readonly id: string) {
    super(`${id} misses`);
  }
}

let stopsAtMiss = false;
/** From now on the first row that misses is thrown as a {@link FirstMiss}, and what comes after it is not computed. */
export const stopAtFirstMiss = (): void => {
  stopsAtMiss = true;
};

/**
 * Compares; a value of ours that is no number fails.
 *
 * @throws FirstMiss after {@link stopAtFirstMiss}
 */
export function compare(row: Omit<Check, "digits" | "pass">): Check {
  const pass = Math.abs(row.ours - row.published) <= row.tolerance;
  if (stopsAtMiss && !pass) throw new FirstMiss(row.id);
  return { ...row, digits: agreeingDigits(row.ours, row.published), pass };
}

const MOST_DIGITS = 15;

function agreeingDigits(ours: number, published: number): number {
  const difference = Math.abs(ours - published);
  if (difference === 0) return MOST_DIGITS;
  const digits = -Math.log10(difference / (published === 0 ? 1 : Math.abs(published)));
  return Math.min(MOST_DIGITS, Math.max(0, Number.isNaN(digits) ? 0 : digits));
}

/** Where rows come from; `kind` holds for those that do not name their own. */
export interface Origin {
  readonly document: string;
  readonly place?: string;
  readonly kind: Kind;
}

/** One row: [id, quantity, published, ours, tolerance], and its kind where it is not that of the others. */
export type Row = readonly [
  id: string,
  quantity: string,
  published: number,
  ours: number,
  tolerance: number,
  kind?: Kind,
];

/** Compares rows of one source. A recomputed or remembered row says so in its words. */
export function compareRows(group: string, origin: Origin, rows: readonly Row[]): Check[] {
  return rows.map(([id, quantity, value, ours, tolerance, kind = origin.kind]) =>
    compare({ ...named(group, origin, id, quantity, kind), published: value, ours, tolerance }),
  );
}

/** The same rows where what they compare with is missing: named, not compared. */
export function skipRows(
  group: string,
  origin: Origin,
  rows: readonly (readonly [id: string, quantity: string, ...rest: unknown[]])[],
  library: string,
): Skipped[] {
  return rows.map(([id, quantity]) => ({
    ...named(group, origin, id, quantity, origin.kind),
    skipped: `${library} is not installed`,
  }));
}

function named(group: string, { document, place }: Origin, id: string, quantity: string, kind: Kind) {
  const source = place === undefined ? document : `${document}, ${place}`;
  const marked = (kind === "recomputed" || kind === "remembered") && !quantity.includes(kind);
  return {
    id: `${group}/${id}`,
    kind,
    document,
    source,
    quantity: marked ? `${quantity} (${kind})` : quantity,
  };
}

/** Half a unit of the last of `decimals` printed decimals, with a hair for the binary form of the decimal. */
export const printedTo = (decimals: number): number => 0.5000001 * 10 ** -decimals;

/** `digits` significant digits of a figure. */
export const toDigits = (digits: number, figure: number): number => 10 ** -digits * Math.abs(figure);

/** Half a unit of the last decimal of a figure as it is written in a file, for one whose last digit is not zero. */
export const asWritten = (figure: number): number => {
  const [digits = "", exponent = "0"] = String(figure).split("e");
  return printedTo((digits.split(".")[1]?.length ?? 0) - Number(exponent));
};

/** Where the figures stand, seen from the source and the built checks alike. */
export const PUBLISHED_FOLDER = join(PACKAGE_ROOT, "data/published");

/** Where a file's figures come from. */
export interface PublishedSource {
  readonly document: string;
  readonly place: string;
  /** How each group of figures came here; see `data/published/README.md`. */
  readonly marks: Readonly<Record<string, readonly string[]>>;
  readonly note?: string;
}

/** Reads `data/published/<name>.json`. The caller states the shape it relies on. */
export function published<T>(name: string): T & { readonly source: PublishedSource } {
  return JSON.parse(readFileSync(join(PUBLISHED_FOLDER, `${name}.json`), "utf8"));
}

/** JSON has no infinity: the files spell it "inf". */
export const number = (value: number | "inf"): number => (value === "inf" ? Infinity : value);
