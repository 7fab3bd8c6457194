import type { Decimal } from "decimal.js";
import { Exact } from "./exact.js";
import { refusal } from "./refusal.js";
import { DEGREES_PER_RADIAN } from "./units.js";

/** The most decimals anything is printed with. */
export const MAX_DIGITS = 15;

/** The minus sign people read; the parsers take it too. */
export const MINUS = "−";

/** The number as its shortest decimal, the one a person would have typed; refused unless finite. */
export function printable(value: number, what: string): Decimal {
  if (typeof value !== "number" || !Number.isFinite(value))
    throw refusal(what, value, "12.34")("it cannot be printed", "only a finite number can be printed");
  return new Exact(value);
}

/**
 * An angle in degrees (`perDegree` 1), minutes (60) or seconds (3600). A double of radians carries 15 sure
 * figures, so the result is kept to 15: 22.5° that went through radians is 22.5 again and rounds as such.
 */
export function fromRadians(rad: Decimal, perDegree: number): Decimal {
  return rad.times(DEGREES_PER_RADIAN).times(perDegree).toSignificantDigits(15);
}

/** The value rounded to a decimal place, ties away from zero; `places` −1 rounds to tens, −2 to hundreds. */
export function roundAt(value: Decimal, places: number): Decimal {
  const step = new Exact(10).pow(-places);
  return value.div(step).round().times(step);
}

/** The value at a fixed number of decimals, a true minus sign before it and none before zero. */
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
