import type { Decimal } from "decimal.js";
import { fixedText, printable, roundAt } from "./printing.js";
import { refusal } from "./refusal.js";

/** Significant figures an uncertainty keeps: "at most two", JCGM 100:2008, 7.2.6. */
export const DEFAULT_SIGNIFICANT_DIGITS = 2;

/** How many figures the uncertainty keeps. */
export interface RoundToUncertaintyOptions {
  /** 1 or 2; default 2. */
  readonly significantDigits?: 1 | 2;
}

/** A value and its uncertainty, rounded at the same decimal place. */
export interface RoundedPair {
  /** The value's figures, a true minus sign before them where they are negative. */
  readonly value: string;
  /** The uncertainty's figures. */
  readonly uncertainty: string;
  /** The place both are rounded at: 2 = hundredths, 0 = units, −1 = tens. */
  readonly places: number;
}

/**
 * The uncertainty at two significant figures and the value at the same decimal place (JCGM 100:2008, 7.2.6).
 * Both go to the nearest figure, ties away from zero; the unit is the caller's, the same for both.
 *
 * @throws {QuantityError} unless the value is finite and the uncertainty finite and more than zero
 * @example roundToUncertainty(10.05762, 0.027) // { value: "10.058", uncertainty: "0.027", places: 3 }
 */
export function roundToUncertainty(
  value: number,
  uncertainty: number,
  options: RoundToUncertaintyOptions = {},
): RoundedPair {
  return roundPair(printable(value, "value"), printable(uncertainty, "uncertainty"), options);
}

/** The same for decimals already in the unit to be printed. */
export function roundPair(
  value: Decimal,
  uncertainty: Decimal,
  options: RoundToUncertaintyOptions,
): RoundedPair {
  const { significantDigits = DEFAULT_SIGNIFICANT_DIGITS } = options;
  if (uncertainty.lte(0))
    throw refusal(
      "uncertainty",
      uncertainty.toNumber(),
      "0.05",
    )(
      "it is not more than zero",
      "an uncertainty is more than zero, and what is known exactly is printed without one",
    );
  if (significantDigits !== 1 && significantDigits !== 2)
    throw refusal(
      "significant digits option",
      significantDigits,
      "2",
    )("an uncertainty does not keep so many figures", "it must be 1 or 2");
  // Rounding may carry into a new figure (0.0996 becomes 0.10), so the place is that of the rounded number.
  const places = significantDigits - 1 - uncertainty.toSignificantDigits(significantDigits).e;
  return {
    value: fixedText(value, places),
    uncertainty: fixedText(roundAt(uncertainty, places), places),
    places,
  };
}
