import {
  formatAngle,
  formatLength,
  formatWithUncertainty,
  type LengthUnit,
  nearestFraction,
  type ResultText,
  type ResultUnit,
} from "../core/quantity/index.js";
import { requireFinite } from "./charts/chart-spec.js";

/** Coverage factor of every expanded uncertainty printed, and its level of confidence (JCGM 100:2008, G.6.6). */
export const COVERAGE = { factor: 2, percent: 95 } as const;

/** The unit that gaps and other small lengths are printed in. */
export const smallUnit = (units: LengthUnit): "mm" | "thou" => (units === "mm" ? "mm" : "thou");

/**
 * A gap or another small length: mm to the thousandth, or thou to the tenth.
 *
 * @example
 * smallLength(0.1, "mm") // "0.100 mm"
 */
export function smallLength(mm: number, units: LengthUnit): string {
  return units === "mm"
    ? formatLength(mm, { unit: "mm", digits: 3 })
    : formatLength(mm, { unit: "in", style: "thou", digits: 1 });
}

/**
 * A piece's length: mm to the hundredth; a fraction of an inch where it is one to half a ten-thousandth, otherwise inches to the
 * ten-thousandth.
 *
 * @example
 * pieceLength(60.325, "in") // "2 3/8 in"
 */
export function pieceLength(mm: number, units: LengthUnit): string {
  if (units === "mm") return formatLength(mm, { unit: "mm", digits: 2 });
  const { numerator, remainderMm, text } = nearestFraction(mm);
  const decimals = formatLength(mm, { unit: "in", digits: 4 });
  if (Math.abs(remainderMm) >= SAME_MARK) return decimals;
  return numerator === 0 ? decimals.replace(/\.0+ /, " ") : text.replace(/ in .*/, " in");
}

/** Half a ten-thousandth of an inch, mm: what lies closer to a mark of the rule is that mark in every figure printed. */
const SAME_MARK = 0.00005 * 25.4;

/**
 * What a stop is set for: a piece's length, in inches with the nearest 1/64 and what is left of it in thou.
 *
 * @example
 * stopLength(60.3, "in") // "2.3740 in (2 3/8 in − 1.0 thou)"
 */
export function stopLength(mm: number, units: LengthUnit): string {
  const length = pieceLength(mm, units);
  if (units === "mm" || length.includes("/") || !length.includes(".")) return length;
  const { remainderMm, text } = nearestFraction(mm);
  const rest = smallLength(Math.abs(remainderMm), units);
  return `${length} (${text.replace(/ in .*/, " in")} ${remainderMm < 0 ? "−" : "+"} ${rest})`;
}

/** An angle: degrees to the hundredth. */
export const angleText = (rad: number): string => quantityText(rad, "deg");

/** With its sign shown, unless it is zero as it is written. */
export const signed = (text: string): string =>
  /^[−-]/.test(text) || !/[1-9]/.test(text) ? text : `+${text}`;

/** An error with its expanded uncertainty, `+0.35° ± 0.07°`, rounded to it (JCGM 100:2008, 7.2.6); U = 2·u, 95 %. */
export function errorText(value: number, u: number, kind: "angle" | "length", units: LengthUnit): string {
  const unit = kind === "angle" ? "deg" : smallUnit(units);
  if (!(u > 0)) return signed(kind === "angle" ? angleText(value) : smallLength(value, units));
  const { value: rounded, uncertainty, mark } = expandedParts(value, COVERAGE.factor * u, unit);
  return `${signed(`${rounded}${mark}`)} ± ${uncertainty}${mark}`;
}

/**
 * A value and its expanded uncertainty, rounded to it: to one figure, to two where it begins with a 1, for rounding such a number to one would
 * change it by up to half. mm or rad, as the unit has it; U > 0.
 */
export function expandedParts(value: number, U: number, unit: ResultUnit): ResultText {
  const inUnit = U / SHOWN[unit].size;
  const significantDigits = /^1/.test(inUnit.toExponential(3)) ? 2 : 1;
  return formatWithUncertainty(value, U, { unit, significantDigits });
}

/** A chance in whole per cent, never 0 or 100 for what is neither. */
export const chanceText = (share: number): string => percent(share, 0);

/** A share to the tenth of a per cent, `12.3 %`, never 0 or 100 for what is neither. */
export const shareText = (share: number): string => percent(share, 1);

/** A share in per cent with so many decimals: `under 1 %` and `over 99 %` for what would be written as 0 or 100 and is neither. */
function percent(share: number, digits: number): string {
  const least = 10 ** -digits;
  if (share > 0 && 100 * share < least / 2) return `under ${least} %`;
  if (share < 1 && 100 * (1 - share) < least / 2) return `over ${100 - least} %`;
  return `${figure(100 * share, digits)} %`;
}

const figure = (value: number, digits: number): string => {
  const text = Math.abs(value).toFixed(digits);
  return value < 0 && /[1-9]/.test(text) ? `−${text}` : text;
};

/** Decimals that a percentage good to ± `half` (in percent) deserves. */
const decimalsFor = (half: number): number =>
  half > 0 ? Math.min(3, Math.max(0, Math.ceil(-Math.log10(half / 2)))) : 1;

/** `34.06 % ± 0.09 %`: a share with half the width of its bounds, rounded to it; the bound alone where it never happened. */
export function percentText({ value, low, high }: Record<"value" | "low" | "high", number>): string {
  const half = 50 * (high - low);
  if (value === 0 && low === 0 && high > 0) {
    // Rounded up: a bound must not promise more than it holds.
    const digits = decimalsFor(half);
    return `under ${(Math.ceil(100 * high * 10 ** digits) / 10 ** digits).toFixed(digits)} %`;
  }
  if (half === 0) return shareText(value);
  const digits = decimalsFor(half);
  return `${figure(100 * value, digits)} ± ${half.toFixed(digits)} %`;
}

/** The unit that numbers are shown in. Values are given in mm where it is `mm`, `in` or `thou`, in radians where it is `deg` or `arcmin`. */
export type AxisUnit = ResultUnit;

const MM_PER_INCH = 25.4;

const SHOWN: Record<
  AxisUnit,
  { /** mm or rad. */ readonly size: number; readonly mark: string; readonly digits: number }
> = {
  mm: { size: 1, mark: "mm", digits: 2 },
  in: { size: MM_PER_INCH, mark: "in", digits: 4 },
  thou: { size: MM_PER_INCH / 1000, mark: "thou", digits: 1 },
  deg: { size: Math.PI / 180, mark: "°", digits: 2 },
  arcmin: { size: Math.PI / 180 / 60, mark: "′", digits: 1 },
};

/** What the unit measures. */
export const isAngle = (unit: AxisUnit): boolean => unit === "deg" || unit === "arcmin";

/** The number that stands on an axis for a value in mm or radians. */
export const shown = (value: number, unit: AxisUnit): number => value / SHOWN[unit].size;

/** `Gap (mm)`: an axis title with its unit. */
export const axisTitle = (text: string, unit: AxisUnit): string => `${text} (${SHOWN[unit].mark})`;

interface QuantityTextOptions {
  /** Decimals; default 2 for mm and °, 1 for thou and ′, 4 for in. */
  readonly digits?: number;
  /** Put a plus before what is above zero; default false. */
  readonly signed?: boolean;
  /** Default true. */
  readonly withUnit?: boolean;
}

/** `0.12 mm`, `+0.35°`, `4.7 thou`, `12.0′` from a value in mm or radians. */
export function quantityText(value: number, unit: AxisUnit, options: QuantityTextOptions = {}): string {
  const { digits = SHOWN[unit].digits, signed = false, withUnit = true } = options;
  requireFinite(value, "value of a label");
  const text = spelled(value, unit, digits);
  const figures = /[1-9]/.test(text) && value > 0 && signed ? `+${text}` : text;
  return withUnit ? figures : figures.replace(/[^\d.]+$/, "");
}

function spelled(value: number, unit: AxisUnit, digits: number): string {
  switch (unit) {
    case "mm":
      return formatLength(value, { unit, digits });
    case "in":
      return formatLength(value, { unit, digits });
    case "thou":
      return formatLength(value, { unit: "in", style: "thou", digits });
    case "deg":
      return formatAngle(value, { digits });
    case "arcmin":
      // Sixty times the angle in degrees is the angle in minutes.
      return formatAngle(value * 60, { digits }).replace("°", "′");
  }
}
