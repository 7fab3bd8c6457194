import { readFileSync } from "node:fs";
import { join } from "node:path";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { checks as closedForms } from "./closed-forms.js";
import { checks as geometry } from "./geometry.js";
import { checks as gumH1 } from "./gum-h1.js";
import { checks as gumH2 } from "./gum-h2.js";
import { checks as gumH3 } from "./gum-h3.js";
import { checks as gumTableG2 } from "./gum-table-g2.js";
import { checks as gumTypes } from "./gum-type-a-and-b.js";
import { checks as additive } from "./jcgm-101-additive.js";
import { checks as comparisonLoss } from "./jcgm-101-comparison-loss.js";
import { checks as mass } from "./jcgm-101-mass.js";
import { checks as leaningFaces } from "./leaning-faces.js";
import { checks as nonlinear } from "./nist-nonlinear.js";
import { checks as norris } from "./nist-norris.js";
import { checks as sirstv } from "./nist-sirstv.js";
import { checks as univariate } from "./nist-univariate.js";
import { checks as scores } from "./reading-scores.js";
import { checks as areas } from "./seating-areas.js";
import { checks as exact } from "./seating-exact.js";
import { checks as programme } from "./seating-programme.js";
import { checks as secondImplementation } from "./second-implementation.js";
import { checks as sensitivity } from "./sensitivity-functions.js";
import { checks as symmetries } from "./symmetries.js";
import { checks as tobin } from "./tobin.js";
import { checks as tradeFacts } from "./trade-facts.js";
import { checks as weibull } from "./weibull.js";
import { checks as wood } from "./wood.js";

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

/** A group with its checks done. */
export interface CheckedGroup {
  readonly title: CheckGroup["title"];
  readonly rule: CheckGroup["rule"];
  readonly checks: readonly Outcome[];
}

/** How many rows there are, how many pass, miss and were skipped. */
export function summary(all: readonly Outcome[]): string {
  const skipped = all.filter(isSkipped);
  const done = all.filter(isDone);
  const passed = done.filter(({ pass }) => pass).length;
  const reasons = [...new Set(skipped.map((row) => row.skipped))].join("; ");
  const tail = skipped.length === 0 ? "" : `, ${skipped.length} skipped (${reasons})`;
  return `${all.length} rows, ${passed} pass, ${done.length - passed} miss${tail}.`;
}

/** The table of outside checks as Markdown. */
export function validationTable(groups: readonly CheckedGroup[]): string {
  const head = [
    "# Outside checks",
    "",
    "Written by `npm run validate -- --write docs/validation.md`; the figures and where they come from are in `data/published`.",
    "Digits: significant digits that agree, 15 at most. A row passes when |ours − published| ≤ tolerance.",
    "",
    summary(groups.flatMap((group) => group.checks)),
  ];
  return [...head, ...groups.flatMap(section), ""].join("\n");
}

function section({ title, rule, checks }: CheckedGroup): string[] {
  return [
    "",
    `## ${title}`,
    "",
    `Rule: ${rule}.`,
    "",
    "| what | source | published | ours | tolerance | digits | |",
    "| --- | --- | ---: | ---: | ---: | ---: | --- |",
    ...checks.map(line),
  ];
}

function line(outcome: Outcome): string {
  const { quantity, source } = outcome;
  if (isSkipped(outcome)) return `| ${cell(quantity)} | ${cell(source)} | | | | | skipped |`;
  const { published, ours, tolerance, digits, pass } = outcome;
  return `| ${cell(quantity)} | ${cell(source)} | ${figure(published)} | ${figure(ours)} | ${short(tolerance)} | ${digits.toFixed(1)} | ${pass ? "pass" : "**MISS**"} |`;
}

const cell = (text: string): string => text.replaceAll("|", "\\|");
const figure = (value: number): string => String(Number(value.toPrecision(12)));
const short = (value: number): string => (value === 0 ? "0" : value.toPrecision(2));

/** Where the figures stand, seen from `src/validate` and `dist/validate` alike. */
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

const PRINTED =
  "within half a unit of the last printed digit, unless the row says that the print was rounded on the way";
const SAMPLED =
  "Monte Carlo within four of its own standard errors (ten for the ends of a shortest interval), closed forms within half a unit of the last digit";

/**
 * All groups, in the order of the table. A further group is one file that exports `checks` and one line here:
 * title, the rule its tolerances follow, and the function.
 */
export const CHECK_GROUPS: readonly CheckGroup[] = [
  { title: "Uncertainty: readings and degrees of freedom (JCGM 100)", rule: PRINTED, checks: gumTypes },
  { title: "Uncertainty: Student's t (JCGM 100, table G.2)", rule: PRINTED, checks: gumTableG2 },
  { title: "Uncertainty: end-gauge calibration (JCGM 100, H.1)", rule: PRINTED, checks: gumH1 },
  { title: "Uncertainty: three correlated outputs (JCGM 100, H.2)", rule: PRINTED, checks: gumH2 },
  { title: "Uncertainty: thermometer calibration (JCGM 100, H.3)", rule: PRINTED, checks: gumH3 },
  { title: "Monte Carlo: sums (JCGM 101, 9.2)", rule: SAMPLED, checks: additive },
  { title: "Monte Carlo: mass calibration (JCGM 101, 9.3)", rule: SAMPLED, checks: mass },
  { title: "Monte Carlo: comparison loss (JCGM 101, 9.4)", rule: SAMPLED, checks: comparisonLoss },
  {
    title: "Arithmetic: univariate (NIST StRD)",
    rule: "relative 1e-15 for means; 1e-14 to 1e-8 else, by what the decimals' binary form leaves",
    checks: univariate,
  },
  { title: "Arithmetic: straight line (NIST StRD, Norris)", rule: "ten digits", checks: norris },
  { title: "Arithmetic: analysis of variance (NIST StRD, SiRstv)", rule: "eleven digits", checks: sirstv },
  {
    title: "Least squares: nonlinear regression (NIST StRD)",
    rule: "log relative error, signs included: eight digits of parameters, their standard deviations and sums with analytic slopes, from both starts; six when the slopes are differences",
    checks: nonlinear,
  },
  {
    title: "Censored readings: Tobin's regression",
    rule: "eight digits",
    checks: tobin,
  },
  {
    title: "Censored readings: Weibull lifetimes (NIST/SEMATECH e-Handbook)",
    rule: "one unit of the last digit, of the print and of the recomputed values",
    checks: weibull,
  },
  {
    title: "Censored readings: the score at the maximum, for every kind of reading",
    rule: "1e-9 of a standard error, and of each slope and curvature; beside the maximum the score is as large as the distance, within 2 %",
    checks: scores,
  },
  {
    title: "Sensitivity: Ishigami's and Sobol's functions",
    rule: "the closed form lies within the estimate's own confidence bounds (1024 points, 16 scramblings; all bounds together 99 %)",
    checks: sensitivity,
  },
  {
    title: "Geometry: triangles and the square cell's sizes",
    rule: "half a unit of the last printed digit; the cell's sizes to 1e-11 mm",
    checks: geometry,
  },
  {
    title: "Seating: another implementation of the model",
    rule: "1e-9 mm, the rounding of its figures",
    checks: secondImplementation,
  },
  {
    title: "Seating: first order against a quadratic programme",
    rule: "energies agree to 1e-8 of themselves, gaps to 1e-7 mm (its slopes are differences)",
    checks: programme,
  },
  {
    title: "Seating: exact order",
    rule: "the rest within 1e-8 mm of the bottom; the power of the errors within 0.1 of 2",
    checks: exact,
  },
  {
    title: "Seating: voids and overlaps against a polygon library",
    rule: "areas agree to first order in the errors: within half a per cent at 1/2048 of ordinary errors, their difference falling with the square (power within 0.15 of 2)",
    checks: areas,
  },
  {
    title: "Seating: symmetries, rings and the reversal",
    rule: "gaps agree to 1e-10 mm, times the scale; a ring shows its number to 3e-5 of it",
    checks: symmetries,
  },
  {
    title: "Seating: closed forms",
    rule: "1e-10 mm; energies to 1e-9 of themselves",
    checks: closedForms,
  },
  {
    title: "Seating: closed forms of faces that lean through the depth",
    rule: "1e-10 mm",
    checks: leaningFaces,
  },
  {
    title: "Wood: moisture and size (Wood Handbook)",
    rule: "moisture table ±0.1 %, else half a unit of the last printed digit; rows whose coefficient is from memory and recomputed agree by construction: they guard the table and prove nothing",
    checks: wood,
  },
  { title: "Trade facts", rule: "angles exact; the two-thirds rule as a fraction", checks: tradeFacts },
];
