import { checkSign } from "./check-sign.js";
import { multiply, nearestDouble, quotient, type Ratio } from "./exact.js";
import { readInput } from "./read-input.js";
import { type Refusal, refusal } from "./refusal.js";
import {
  ANGLE_PART,
  KNOWN_LENGTH_UNITS,
  type LengthUnit,
  MAX_LENGTH_MM,
  MM_PER,
  type SignRule,
} from "./units.js";

/** How {@link parseLength} reads. */
export interface ParseLengthOptions {
  /** The unit of a number that has none. */
  readonly unit: LengthUnit;
  /** The sign the value may have; default `any`. */
  readonly sign?: SignRule;
  /** What is being read, as an error names it; default `length`. */
  readonly what?: string;
}

const EXAMPLES: Record<LengthUnit, string[]> = { mm: ["60 mm", "2 3/8 in"], in: ["2 3/8 in", "60 mm"] };
const FEET = new Set(["'", "ft", "ft.", "foot", "feet"]);

/**
 * Reads a length as it is written in a shop: `60 mm`, `0,4 mm`, `2 3/8 in`, `2-3/8"`, `2⅜″`, `5 thou`, or a
 * bare number in `options.unit`. Arithmetic is exact up to the last step. A dot or a comma is the decimal
 * mark; nothing marks thousands, and `1,234`, which could be either, is refused. A minus sign counts for
 * the whole: `-2 3/8 in` is −2.375 in.
 *
 * @param input a text of at most 80 characters, or a number
 * @returns millimetres, the double nearest to the exact value, within ±100 000 mm; never −0
 * @throws {QuantityError} what is wrong, the rule, the value, an example
 * @example parseLength("7/64 in", { unit: "mm" }) // 2.778125
 */
export function parseLength(input: unknown, options: ParseLengthOptions): number {
  const { unit, sign = "any", what = "length" } = options;
  if (!Object.hasOwn(EXAMPLES, unit))
    throw refusal("unit option", unit, "mm")("it is not a unit for bare lengths", "it must be mm or in");
  const refuse = refusal(what, input, ...EXAMPLES[unit]);

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
