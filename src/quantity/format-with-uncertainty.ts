import type { Decimal } from "decimal.js";
import { fromRadians, printable } from "./printing.js";
import { refusal } from "./refusal.js";
import { type RoundedPair, type RoundToUncertaintyOptions, roundPair } from "./round-to-uncertainty.js";
import { MM_PER_INCH } from "./units.js";

/** The units a result is printed in; the first three take mm, `deg` and `arcmin` take radians. */
export type ResultUnit = "mm" | "in" | "thou" | "deg" | "arcmin";

/** How {@link formatWithUncertainty} prints. */
export interface FormatWithUncertaintyOptions extends RoundToUncertaintyOptions {
  readonly unit: ResultUnit;
  /** Given, the uncertainty is an expanded one, U = k·u; absent, it is a standard uncertainty, u. */
  readonly coverage?: {
    /** The coverage factor k, more than 0. */
    readonly factor: number;
    /** The level of confidence, per cent, above 0 and below 100. */
    readonly percent: number;
  };
}

/** The pieces of a result, and the whole. */
export interface ResultText extends RoundedPair {
  /** The unit's mark with the space before it, where it has one: ` mm`, `°`. */
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
 * A result with its uncertainty, rounded as JCGM 100:2008, 7.2.6; an expanded one is stated with k and the
 * level of confidence, as 7.2.3 asks.
 *
 * @param value mm or radians, by `options.unit`
 * @param uncertainty in the same unit as `value`: U = k·u if `coverage` is given, otherwise u; more than 0
 * @throws {QuantityError} for a value or option outside what is stated above
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
