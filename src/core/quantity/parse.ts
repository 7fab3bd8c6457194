import { type Refusal, refusal } from "./quantity-error.js";
import { readTerms, type SignedTerms, type Term } from "./read-terms.js";
import {
  ANGLE_PART,
  type AngleUnit,
  addRatios,
  Exact,
  KNOWN_ANGLE_UNITS,
  KNOWN_LENGTH_UNITS,
  type LengthUnit,
  MAX_ANGLE_DEG,
  MAX_LENGTH_MM,
  MM_PER,
  multiply,
  nearestDouble,
  PI,
  quotient,
  type Ratio,
  ratio,
  type SignRule,
} from "./units.js";

/** Options of {@link parseLength}. */
export interface ParseLengthOptions {
  /** The unit of a number that has none. */
  readonly unit: LengthUnit;
  /** The sign the value may have; default `any`. */
  readonly sign?: SignRule;
  /** Name of the value in error messages; default `length`. */
  readonly what?: string;
}

const LENGTH_EXAMPLES: Record<LengthUnit, string[]> = {
  mm: ["60 mm", "2 3/8 in"],
  in: ["2 3/8 in", "60 mm"],
};
const FEET = new Set(["'", "ft", "ft.", "foot", "feet"]);

/**
 * Reads a length as written in a shop: `60 mm`, `0,4 mm`, `2 3/8 in`, `2-3/8"`, `2⅜″`, `5 thou`, or a
 * bare number in `options.unit`. The arithmetic is exact up to the last step. A dot or a comma is the decimal
 * mark. There are no thousands separators, and the ambiguous `1,234` is refused. A minus sign applies to
 * the whole: `-2 3/8 in` is −2.375 in.
 *
 * @param input a text of at most 80 characters, or a number
 * @returns millimetres, the double nearest to the exact value, within ±100 000 mm; never −0
 * @throws {QuantityError} what is wrong, the rule, the value, an example
 * @example parseLength("7/64 in", { unit: "mm" }) // 2.778125
 */
export function parseLength(input: unknown, options: ParseLengthOptions): number {
  const { unit, sign = "any", what = "length" } = options;
  if (!Object.hasOwn(LENGTH_EXAMPLES, unit))
    throw refusal("unit option", unit, "mm")("it is not a unit for bare lengths", "it must be mm or in");
  const refuse = refusal(what, input, ...LENGTH_EXAMPLES[unit]);

  const { negative, terms } = readInput(input, refuse);
  if (terms.some((term) => FEET.has(term.unit)))
    throw refuse("feet are not read", "write the whole length in inches", "63 3/8 in");
  const [{ amount, unit: written }, second] = terms;
  const size = multiply(amount, mmPer(written || unit, refuse));
  if (second !== undefined) {
    mmPer(second.unit || unit, refuse);
    throw refuse("it has two lengths", "write one number and one unit");
  }
  if (size.n.gt(size.d.times(MAX_LENGTH_MM)))
    throw refuse("it is out of reach", `no length here is beyond ${MAX_LENGTH_MM} mm`);
  const mm = nearestDouble(quotient(negative ? { n: size.n.neg(), d: size.d } : size));
  checkSign(mm, sign, refuse);
  return mm;
}

function mmPer(unit: string, refuse: Refusal): Ratio {
  const factor = MM_PER.get(unit);
  if (factor !== undefined) return factor;
  if (MM_PER.has(unit.toLowerCase()))
    throw refuse(`the unit ${unit} is in capitals`, `write ${unit.toLowerCase()} in small letters`);
  if (ANGLE_PART.has(unit))
    throw refuse(`${unit} is a unit of angle`, `a length is in ${KNOWN_LENGTH_UNITS}`);
  throw refuse(`the unit ${unit} is not known`, `a length is in ${KNOWN_LENGTH_UNITS}`);
}

/** Options of {@link parseAngle}. */
export interface ParseAngleOptions {
  /** The unit of a number that has none; default `deg`. */
  readonly unit?: AngleUnit;
  /** The sign the value may have; default `any`. */
  readonly sign?: SignRule;
  /** Name of the value in error messages; default `angle`. */
  readonly what?: string;
}

const ANGLE_EXAMPLES: Record<AngleUnit, string[]> = { deg: ["22.5°", "22° 30′"], rad: ["0.39 rad", "22.5°"] };
const PARTS_PER_DEGREE = { degrees: 1, minutes: 60, seconds: 3600 } as const;
const DMS_EXAMPLE = "22° 30′ 15″";

/**
 * Reads an angle: `22.5°`, `22 1/2 deg`, `22°30'`, `22° 30′ 15″`, `30'`, `0.39 rad`, or a bare number in
 * `options.unit`. The arithmetic is exact up to the last step. Decimal marks are as in lengths. A minus sign applies
 * to the whole: `-0°30'` is half a degree below zero.
 *
 * @param input a text of at most 80 characters, or a number
 * @returns radians, the double nearest to the exact value, within ±360°; never −0
 * @throws {QuantityError} what is wrong, the rule, the value, an example
 * @example parseAngle("22°30'") // Math.PI / 8
 */
export function parseAngle(input: unknown, options: ParseAngleOptions = {}): number {
  const { unit = "deg", sign = "any", what = "angle" } = options;
  if (!Object.hasOwn(ANGLE_EXAMPLES, unit))
    throw refusal("unit option", unit, "deg")("it is not a unit for bare angles", "it must be deg or rad");
  const refuse = refusal(what, input, ...ANGLE_EXAMPLES[unit]);

  const { negative, terms } = readInput(input, refuse);
  const parts = terms.map((term) => partOf(term, terms.length === 1 ? unit : "", refuse));
  const [first] = terms;
  const typed = parts[0] === "radians" && terms.length === 1 ? first.amount : undefined;
  const degrees = typed === undefined ? totalDegrees(terms, parts, refuse) : inDegrees(typed);
  if (degrees.n.gt(degrees.d.times(MAX_ANGLE_DEG)))
    throw refuse("it is out of reach", `no angle here is beyond ${MAX_ANGLE_DEG} degrees`);
  const size = quotient(typed ?? { n: degrees.n.times(PI), d: degrees.d.times(180) });
  const rad = nearestDouble(negative ? size.neg() : size);
  checkSign(rad, sign, refuse);
  return rad;
}

const inDegrees = (rad: Ratio): Ratio => ({ n: rad.n.times(180), d: rad.d.times(PI) });

type Part = "degrees" | "minutes" | "seconds" | "radians";

function partOf({ unit }: Term, bareUnit: AngleUnit | "", refuse: Refusal): Part {
  const part = ANGLE_PART.get(unit || bareUnit);
  if (part !== undefined) return part;
  if (unit === "")
    throw refuse(
      "a number beside the degrees has no mark",
      "mark minutes with ′ and seconds with ″",
      DMS_EXAMPLE,
    );
  if (ANGLE_PART.has(unit.toLowerCase()))
    throw refuse(`the unit ${unit} is in capitals`, `write ${unit.toLowerCase()} in small letters`);
  if (MM_PER.has(unit)) throw refuse(`“${unit}” is a unit of length`, `an angle is in ${KNOWN_ANGLE_UNITS}`);
  throw refuse(`the unit ${unit} is not known`, `an angle is in ${KNOWN_ANGLE_UNITS}`);
}

/** Adds up degrees, minutes and seconds: each at most once, in that order, and only the last with a fraction. */
function totalDegrees(terms: readonly Term[], parts: readonly Part[], refuse: Refusal): Ratio {
  let total = ratio(0);
  let reached = 0;
  for (const [index, { amount }] of terms.entries()) {
    const part = parts[index]!;
    if (part === "radians")
      throw refuse("radians are combined with another part", "write radians alone", "0.39 rad");
    const perDegree = PARTS_PER_DEGREE[part];
    if (perDegree <= reached)
      throw refuse(
        "its parts are repeated or out of order",
        "degrees come first, then minutes, then seconds",
        DMS_EXAMPLE,
      );
    if (index > 0 && amount.n.gte(amount.d.times(60)))
      throw refuse(
        `its ${part} are 60 or more`,
        "after a larger part, minutes and seconds stay below 60",
        DMS_EXAMPLE,
      );
    if (index < terms.length - 1 && !quotient(amount).isInteger())
      throw refuse(
        `its ${part} are not a whole number`,
        "only the last part may have a fraction",
        DMS_EXAMPLE,
      );
    total = addRatios(total, { n: amount.n, d: amount.d.times(perDegree) });
    reached = perDegree;
  }
  return total;
}

/** Splits a value from a file or a caller into terms. A number is read as its shortest decimal. */
export function readInput(input: unknown, refuse: Refusal): SignedTerms {
  if (typeof input === "string") return readTerms(input, refuse);
  if (typeof input !== "number")
    throw refuse("it is neither a number nor a text", "write a number, or a number with its unit");
  if (!Number.isFinite(input)) throw refuse("it is not a finite number", "only ordinary numbers can be used");
  const value = new Exact(input);
  return { negative: value.isNeg(), terms: [{ amount: ratio(value.abs()), unit: "" }] };
}

const RULES: readonly SignRule[] = ["any", "positive", "non-negative"];

/** Refuses a value whose sign the caller does not allow. */
export function checkSign(value: number, sign: SignRule, refuse: Refusal): void {
  if (!RULES.includes(sign))
    throw refusal("sign option", sign, "positive")("it is not known", `it is one of ${RULES.join(", ")}`);
  if (sign === "positive" && value <= 0)
    throw refuse(value < 0 ? "it is negative" : "it is zero", "it must be more than zero");
  if (sign === "non-negative" && value < 0) throw refuse("it is negative", "it must be zero or more");
}
