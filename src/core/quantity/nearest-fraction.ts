import { refusal } from "./quantity-error.js";
import { checkDigits, Exact, fixedText, MINUS, MM_PER_INCH, nearestDouble, printable } from "./units.js";

/** The divisions that a rule may have, parts of an inch. */
export type FractionDenominator = 2 | 4 | 8 | 16 | 32 | 64 | 128;

const DENOMINATORS: readonly number[] = [2, 4, 8, 16, 32, 64, 128];

/** Default division: sixty-fourths. */
export const DEFAULT_DENOMINATOR: FractionDenominator = 64;

/** Decimals of the remainder in the text, inches. */
export const DEFAULT_REMAINDER_DIGITS = 4;

/** Options of {@link nearestFraction}. */
export interface NearestFractionOptions {
  /** The finest mark of the rule, parts of an inch; default 64. */
  readonly denominator?: FractionDenominator;
  /** Decimals of the remainder in the text, inches, 0 to 15; default 4. */
  readonly digits?: number;
}

/** A length as a rule in inches shows it: sign · (whole + numerator/denominator) in + remainder. */
export interface InchFraction {
  /** Sign of the mark, not of the remainder; 0 at the rule's end. */
  readonly sign: -1 | 0 | 1;
  /** Whole inches, 0 or more. */
  readonly whole: number;
  /** Reduced; 0 where the mark is a whole inch, and then the denominator is 1. */
  readonly numerator: number;
  readonly denominator: number;
  /** The length minus the mark, mm: positive where the length lies beyond the mark towards +. */
  readonly remainderMm: number;
  /** `2 3/8 in − 0.0012 in`, to be read as a sum; a remainder that rounds to zero is left out. */
  readonly text: string;
}

/**
 * The nearest mark of a rule in inches, and what is left over. Half-way between two marks, the mark
 * farther from zero is taken.
 *
 * @param mm length, mm, taken as its shortest decimal
 * @throws {QuantityError} if `mm` is not finite, or the denominator is not 2, 4, 8, 16, 32, 64 or 128
 * @example nearestFraction(60.3).text // "2 3/8 in − 0.0010 in"
 */
export function nearestFraction(mm: number, options: NearestFractionOptions = {}): InchFraction {
  const { denominator = DEFAULT_DENOMINATOR, digits = DEFAULT_REMAINDER_DIGITS } = options;
  checkDigits(digits);
  if (!DENOMINATORS.includes(denominator))
    throw refusal(
      "denominator option",
      denominator,
      "64",
    )("no rule here is divided so", `it must be one of ${DENOMINATORS.join(", ")}`);
  const inches = printable(mm, "length").div(MM_PER_INCH);
  const marks = inches.times(denominator).round();
  const mark = marks.div(denominator);
  const whole = mark.abs().trunc();
  let numerator = marks.abs().minus(whole.times(denominator)).toNumber();
  let reduced: number = denominator;
  while (numerator % 2 === 0 && reduced > 1) {
    numerator /= 2;
    reduced /= 2;
  }
  const sign = marks.isZero() ? 0 : marks.isNeg() ? -1 : 1;
  const remainder = inches.minus(mark);
  return {
    sign,
    whole: whole.toNumber(),
    numerator,
    denominator: reduced,
    remainderMm: nearestDouble(new Exact(mm).minus(mark.times(MM_PER_INCH))),
    text: `${sign < 0 ? MINUS : ""}${markText(whole.toFixed(), numerator, reduced)} in${remainderText(
      fixedText(remainder, digits),
    )}`,
  };
}

function markText(whole: string, numerator: number, denominator: number): string {
  if (numerator === 0) return whole;
  return whole === "0" ? `${numerator}/${denominator}` : `${whole} ${numerator}/${denominator}`;
}

function remainderText(inches: string): string {
  if (/^[0.]+$/.test(inches)) return "";
  return inches.startsWith(MINUS) ? ` ${MINUS} ${inches.slice(1)} in` : ` + ${inches} in`;
}
