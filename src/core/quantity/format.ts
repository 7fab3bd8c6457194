import type { Decimal } from "decimal.js";
import { type FractionDenominator, nearestFraction } from "./nearest-fraction.js";
import { refusal } from "./quantity-error.js";
import {
  checkDigits,
  Exact,
  fixedText,
  fromRadians,
  MINUS,
  MM_PER_INCH,
  printable,
  roundAt,
} from "./units.js";

/** Default decimals: about 10 µm in mm, 2.5 µm in inches and thou. */
export const DEFAULT_LENGTH_DIGITS = { mm: 2, in: 4, thou: 1 } as const;

/** Options of {@link formatLength}. `digits`: decimals, 0 to 15; with a fraction, the decimals of its remainder. */
export type FormatLengthOptions =
  | { readonly unit: "mm" | "in"; readonly style?: "decimal"; readonly digits?: number }
  | { readonly unit: "in"; readonly style: "thou"; readonly digits?: number }
  | {
      readonly unit: "in";
      readonly style: "fraction";
      readonly digits?: number;
      readonly denominator?: FractionDenominator;
    };

/**
 * A length for people: `12.34 mm`, `0.1180 in`, `5.0 thou`, `2 3/8 in − 0.0012 in`. Ties are rounded away from
 * zero; a value that rounds to zero has no sign.
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

/** Default decimals of the last part printed. */
export const DEFAULT_ANGLE_DIGITS = { decimal: 2, minutes: 0, seconds: 0 } as const;

/** Options of {@link formatAngle}. */
export interface FormatAngleOptions {
  /** `decimal` degrees, degrees and `minutes`, or degrees, minutes and `seconds`; default `decimal`. */
  readonly style?: keyof typeof DEFAULT_ANGLE_DIGITS;
  /** Decimals of the last part, 0 to 15; default 2 for degrees, 0 for minutes and seconds. */
  readonly digits?: number;
}

/**
 * An angle for people: `22.50°`, `22° 30′`, `22° 30′ 15″`. The angle is rounded first (ties away from
 * zero), so no part reaches 60. A minus sign applies to all parts; a value that rounds to zero has none.
 *
 * @param rad angle, radians
 * @throws {QuantityError} if `rad` is not finite or an option is not one of those above
 * @example formatAngle(Math.PI / 8, { style: "minutes" }) // "22° 30′"
 */
export function formatAngle(rad: number, options: FormatAngleOptions = {}): string {
  const { style = "decimal" } = options;
  const angle = printable(rad, "angle");
  if (!Object.hasOwn(DEFAULT_ANGLE_DIGITS, style))
    throw refusal(
      "style option",
      style,
      "minutes",
    )("no angle is printed so", "it must be decimal, minutes or seconds");
  const { digits = DEFAULT_ANGLE_DIGITS[style] } = options;
  checkDigits(digits);
  if (style === "decimal") return `${fixedText(fromRadians(angle, 1), digits)}°`;

  const perDegree = style === "minutes" ? 60 : 3600;
  const total = roundAt(fromRadians(angle, perDegree), digits);
  const size = total.abs();
  const degrees = size.div(perDegree).trunc();
  const rest = size.minus(degrees.times(perDegree));
  const sign = total.isNeg() && !total.isZero() ? MINUS : "";
  if (style === "minutes") return `${sign}${degrees.toFixed()}° ${fixedText(rest, digits)}′`;
  const minutes = rest.div(60).trunc();
  const seconds = fixedText(rest.minus(new Exact(60).times(minutes)), digits);
  return `${sign}${degrees.toFixed()}° ${minutes.toFixed()}′ ${seconds}″`;
}

/** The units a result is printed in; the first three take mm, `deg` and `arcmin` take radians. */
export type ResultUnit = "mm" | "in" | "thou" | "deg" | "arcmin";

/** Options of {@link formatWithUncertainty}. */
export interface FormatWithUncertaintyOptions extends RoundToUncertaintyOptions {
  readonly unit: ResultUnit;
  /** If given, the uncertainty is expanded, U = k·u; if absent, it is a standard uncertainty u. */
  readonly coverage?: {
    /** The coverage factor k, more than 0. */
    readonly factor: number;
    /** The level of confidence, per cent, above 0 and below 100. */
    readonly percent: number;
  };
}

/** A formatted result: its parts and the whole text. */
export interface ResultText extends RoundedPair {
  /** The unit's symbol, with a leading space if it needs one: ` mm`, `°`. */
  readonly mark: string;
  /** `12.34 mm, U = 0.05 mm (k = 2, 95 %)`. */
  readonly text: string;
}

const SHOWN: Record<ResultUnit, { mark: string; convert: (value: Decimal) => Decimal }> = {
  mm: { mark: " mm", convert: (mm) => mm },
  in: { mark: " in", convert: (mm) => mm.div(MM_PER_INCH) },
  thou: { mark: " thou", convert: (mm) => mm.div(MM_PER_INCH).times(1000) },
  deg: { mark: "°", convert: (rad) => fromRadians(rad, 1) },
  arcmin: { mark: "′", convert: (rad) => fromRadians(rad, 60) },
};

/**
 * A result with its uncertainty, rounded according to JCGM 100:2008, 7.2.6; an expanded uncertainty is stated with k and the
 * level of confidence, as 7.2.3 requires.
 *
 * @param value mm or radians, by `options.unit`
 * @param uncertainty in the same unit as `value`: U = k·u if `coverage` is given, otherwise u; more than 0
 * @throws {QuantityError} for a value or option outside these ranges
 * @example formatWithUncertainty(12.3412, 0.0503, { unit: "mm", coverage: { factor: 2, percent: 95 } }).text
 * // "12.341 mm, U = 0.050 mm (k = 2, 95 %)"
 */
export function formatWithUncertainty(
  value: number,
  uncertainty: number,
  options: FormatWithUncertaintyOptions,
): ResultText {
  const { unit, coverage } = options;
  if (!Object.hasOwn(SHOWN, unit))
    throw refusal(
      "unit option",
      unit,
      "mm",
    )("no result is printed in it", `it must be one of ${Object.keys(SHOWN).join(", ")}`);
  const { mark, convert } = SHOWN[unit];
  const pair = roundPair(
    convert(printable(value, "value")),
    convert(printable(uncertainty, "uncertainty")),
    options,
  );
  const symbol = coverage === undefined ? "u" : "U";
  const stated = coverage === undefined ? "" : coverageText(coverage.factor, coverage.percent);
  return { ...pair, mark, text: `${pair.value}${mark}, ${symbol} = ${pair.uncertainty}${mark}${stated}` };
}

function coverageText(factor: number, percent: number): string {
  if (!(factor > 0 && Number.isFinite(factor)))
    throw refusal("coverage factor", factor, "2")("it is not a coverage factor", "it must be more than zero");
  if (!(percent > 0 && percent < 100))
    throw refusal(
      "level of confidence",
      percent,
      "95",
    )("it is not a level of confidence", "it must be above 0 and below 100 per cent");
  const k = printable(factor, "coverage factor").toSignificantDigits(3).toString();
  const level = printable(percent, "level of confidence").toSignificantDigits(12).toString();
  return ` (k = ${k}, ${level} %)`;
}

/** Significant figures of an uncertainty: "at most two", JCGM 100:2008, 7.2.6. */
export const DEFAULT_SIGNIFICANT_DIGITS = 2;

/** Number of significant figures of the uncertainty. */
export interface RoundToUncertaintyOptions {
  /** 1 or 2; default 2. */
  readonly significantDigits?: 1 | 2;
}

/** A value and its uncertainty, rounded at the same decimal place. */
export interface RoundedPair {
  /** The value's figures, with a true minus sign if negative. */
  readonly value: string;
  /** The uncertainty's figures. */
  readonly uncertainty: string;
  /** The decimal place to which both are rounded: 2 = hundredths, 0 = units, −1 = tens. */
  readonly places: number;
}

/**
 * The uncertainty at two significant figures and the value at the same decimal place (JCGM 100:2008, 7.2.6).
 * Both are rounded to nearest, ties away from zero; both are in the same unit, chosen by the caller.
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
  // Rounding may carry into a new figure (0.0996 becomes 0.10), so the place follows from the rounded number.
  const places = significantDigits - 1 - uncertainty.toSignificantDigits(significantDigits).e;
  return {
    value: fixedText(value, places),
    uncertainty: fixedText(roundAt(uncertainty, places), places),
    places,
  };
}
