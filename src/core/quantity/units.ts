import { Decimal } from "decimal.js";
import { refusal } from "./quantity-error.js";

/**
 * Decimal arithmetic for this folder only; the shared `Decimal` is never reconfigured.
 * A text of at most 80 characters with a two-figure power of ten spans fewer than 200 digits, so with
 * 250 every sum and product here is exact and every quotient is far closer than half a double's last bit.
 * Ties round away from zero.
 */
export const Exact = Decimal.clone({ defaults: true, precision: 250, rounding: Decimal.ROUND_HALF_UP });

/** π to the working precision. */
export const PI = Exact.acos(-1);

/** An exact fraction, n/d with d > 0: a third of an inch stays a third until the result is rounded. */
export interface Ratio {
  readonly n: Decimal;
  readonly d: Decimal;
}

/** The fraction n/d. */
export const ratio = (n: Decimal.Value, d: Decimal.Value = 1): Ratio => ({
  n: new Exact(n),
  d: new Exact(d),
});

/** a + b, exactly. */
export const addRatios = (a: Ratio, b: Ratio): Ratio => ({
  n: a.n.times(b.d).plus(b.n.times(a.d)),
  d: a.d.times(b.d),
});

/** a · b, exactly. */
export const multiply = (a: Ratio, b: Ratio): Ratio => ({ n: a.n.times(b.n), d: a.d.times(b.d) });

/** The fraction as one decimal number, rounded at the working precision. */
export const quotient = (a: Ratio): Decimal => a.n.div(a.d);

/** The nearest double, never −0. V8 parses every digit of a decimal text, so this rounds correctly. */
export function nearestDouble(value: Decimal): number {
  return value.isZero() ? 0 : value.toNumber();
}

/** Units for a number without a unit and for printing a length. */
export type LengthUnit = "mm" | "in";

/** Units for an angle without a unit. */
export type AngleUnit = "deg" | "rad";

/** The sign a value may have: `positive` is more than zero, `non-negative` is zero or more. */
export type SignRule = "any" | "positive" | "non-negative";

/** Largest absolute value of a length, mm. */
export const MAX_LENGTH_MM = 100_000;

/** Largest absolute value of an angle, degrees. */
export const MAX_ANGLE_DEG = 360;

/** Longest text read as a quantity, characters. */
export const MAX_TEXT_LENGTH = 80;

/** Millimetres in an inch: exact by definition (international yard and pound agreement, 1959). */
export const MM_PER_INCH = "25.4";

const inch = ratio(MM_PER_INCH);
const thou = ratio("0.0254");
const micrometre = ratio("0.001");

/** Millimetres in each length unit, by its spelling. */
export const MM_PER: ReadonlyMap<string, Ratio> = new Map([
  ["mm", ratio(1)],
  ["cm", ratio(10)],
  ["m", ratio(1000)],
  ["µm", micrometre],
  ["um", micrometre],
  ["in", inch],
  ["in.", inch],
  ["inch", inch],
  ["inches", inch],
  ['"', inch],
  ["thou", thou],
]);

/** The part of an angle that each spelling stands for. */
export const ANGLE_PART: ReadonlyMap<string, "degrees" | "minutes" | "seconds" | "radians"> = new Map([
  ["°", "degrees"],
  ["deg", "degrees"],
  ["degree", "degrees"],
  ["degrees", "degrees"],
  ["'", "minutes"],
  ["arcmin", "minutes"],
  ['"', "seconds"],
  ["arcsec", "seconds"],
  ["rad", "radians"],
]);

/** The length units as an error message lists them. */
export const KNOWN_LENGTH_UNITS = 'mm, cm, m, µm (or um), in (or inch, or "), thou';

/** The angle units as an error message lists them. */
export const KNOWN_ANGLE_UNITS = "deg (or °), arcmin (or ′) and arcsec (or ″), rad";

/** Degrees in a radian. */
export const DEGREES_PER_RADIAN = quotient({ n: ratio(180).n, d: PI });

/** Largest number of decimals printed. */
export const MAX_DIGITS = 15;

/** The typographic minus sign; the parsers accept it too. */
export const MINUS = "−";

/** The number as its shortest decimal, as a person would type it; refused unless finite. */
export function printable(value: number, what: string): Decimal {
  if (typeof value !== "number" || !Number.isFinite(value))
    throw refusal(what, value, "12.34")("it cannot be printed", "only a finite number can be printed");
  return new Exact(value);
}

/**
 * An angle in degrees (`perDegree` 1), minutes (60) or seconds (3600). A double in radians has 15 reliable
 * figures, so the result is rounded to 15: 22.5° converted to radians and back is exactly 22.5.
 */
export function fromRadians(rad: Decimal, perDegree: number): Decimal {
  return rad.times(DEGREES_PER_RADIAN).times(perDegree).toSignificantDigits(15);
}

/** The value rounded to a decimal place, ties away from zero; `places` −1 rounds to tens, −2 to hundreds. */
export function roundAt(value: Decimal, places: number): Decimal {
  const step = new Exact(10).pow(-places);
  return value.div(step).round().times(step);
}

/** The value with a fixed number of decimals and a true minus sign; zero has no sign. */
export function fixedText(value: Decimal, places: number): string {
  const rounded = roundAt(value, places);
  const digits = rounded.abs().toFixed(Math.max(places, 0));
  return rounded.isNeg() && !rounded.isZero() ? MINUS + digits : digits;
}

/** Refuses a number of decimals that is not a whole number from 0 to 15. */
export function checkDigits(digits: number): void {
  if (!Number.isInteger(digits) || digits < 0 || digits > MAX_DIGITS)
    throw refusal(
      "digits option",
      digits,
      "2",
    )("it is not a number of decimals", `it must be a whole number from 0 to ${MAX_DIGITS}`);
}
