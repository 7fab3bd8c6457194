import {
  formatAngle,
  formatLength,
  formatWithUncertainty,
  type LengthUnit,
  type ResultText,
  type ResultUnit,
} from "../core/quantity/index.js";

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
 * A piece's length or a stop's setting: mm to the hundredth, or inches to the nearest 1/64 with what is left.
 *
 * @example
 * pieceLength(60.325, "in") // "2.3750 in (2 3/8 in)"
 */
export function pieceLength(mm: number, units: LengthUnit): string {
  if (units === "mm") return formatLength(mm, { unit: "mm", digits: 2 });
  return `${formatLength(mm, { unit: "in", digits: 4 })} (${formatLength(mm, { unit: "in", style: "fraction" })})`;
}

/** An angle: degrees to the hundredth. */
export const angleText = (rad: number): string => formatAngle(rad, { digits: 2 });

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
  const inUnit = U / SIZE[unit];
  const significantDigits = /^1/.test(inUnit.toExponential(3)) ? 2 : 1;
  return formatWithUncertainty(value, U, { unit, significantDigits });
}

/** mm or rad. */
const SIZE: Readonly<Record<ResultUnit, number>> = {
  ...{ mm: 1, in: 25.4, thou: 0.0254, deg: Math.PI / 180, arcmin: Math.PI / 10800 },
};

/** A chance in whole per cent, never 0 or 100 for what is neither. */
export function chanceText(share: number): string {
  if (share > 0 && share < 0.005) return "under 1 %";
  if (share < 1 && share > 0.995) return "over 99 %";
  return `${Math.round(share * 100)} %`;
}
