import type { Decimal } from "decimal.js";
import { type FractionDenominator, nearestFraction } from "./nearest-fraction.js";
import { checkDigits, fixedText, printable } from "./printing.js";
import { refusal } from "./refusal.js";
import { MM_PER_INCH } from "./units.js";

/** Decimals where the caller names none: about 10 µm in mm, 2.5 µm in inches and thou. */
export const DEFAULT_LENGTH_DIGITS = { mm: 2, in: 4, thou: 1 } as const;

/** How {@link formatLength} prints. `digits`: decimals, 0 to 15; with a fraction, those of its remainder. */
export type FormatLengthOptions =
  | { readonly unit: "mm"; readonly style?: "decimal"; readonly digits?: number }
  | { readonly unit: "in"; readonly style?: "decimal" | "thou"; readonly digits?: number }
  | {
      readonly unit: "in";
      readonly style: "fraction";
      readonly digits?: number;
      readonly denominator?: FractionDenominator;
    };

/**
 * A length for people: `12.34 mm`, `0.1180 in`, `5.0 thou`, `2 3/8 in − 0.0012 in`. Ties round away from
 * zero; what rounds to zero has no sign.
 *
 * @param mm length, mm, taken as its shortest decimal
 * @throws {QuantityError} if `mm` is not finite or an option is not one of those above
 * @example formatLength(2.9972, { unit: "in" }) // "0.1180 in"
 */
export function formatLength(mm: number, options: FormatLengthOptions): string {
  const length = printable(mm, "length");
  const form = `${options.unit} ${options.style ?? "decimal"}`;
  const text = (value: Decimal, unit: keyof typeof DEFAULT_LENGTH_DIGITS): string => {
    const { digits = DEFAULT_LENGTH_DIGITS[unit] } = options;
    checkDigits(digits);
    return `${fixedText(value, digits)} ${unit}`;
  };
  switch (form) {
    case "mm decimal":
      return text(length, "mm");
    case "in decimal":
      return text(length.div(MM_PER_INCH), "in");
    case "in thou":
      return text(length.div(MM_PER_INCH).times(1000), "thou");
    case "in fraction":
      return nearestFraction(mm, options).text;
    default:
      throw refusal(
        "unit and style options",
        form,
        "mm decimal",
        "in fraction",
      )("no length is printed so", "the unit is mm or in, and the styles fraction and thou are for inches");
  }
}
