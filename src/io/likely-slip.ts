import { formatLength, type LengthUnit } from "../core/quantity/index.js";
import { inchLength } from "./example-units.js";

// A length far from what it can be was most likely written in another unit, or with its decimal point in another place.

/** Limits of a length's size, mm; zero always passes. */
export interface LengthLimits {
  /** Default 0. */
  readonly least?: number;
  readonly most: number;
}

/** What a length was probably meant to be. */
interface Slip {
  /** `it looks like inches`. */
  readonly problem: string;
  /** The length as it should be written: `83.21 mm`. */
  readonly meant: string;
}

/** The units that a number may really be in, by the unit it was read in: their names, and the size in mm of what is read as 1 mm. */
const OTHER_UNITS: Readonly<Record<LengthUnit, readonly (readonly [name: string, factor: number])[]>> = {
  mm: [
    ["inches", 25.4],
    ["cm", 10],
  ],
  in: [
    ["mm", 1 / 25.4],
    ["thou", 0.001],
  ],
};
const SHIFTS = [0.1, 10, 0.01, 100];

/**
 * The likeliest slip behind a length that is out of its limits; `undefined` if no single one explains it.
 *
 * @param mm the length as it was read, mm
 * @param typed what was written; its own unit comes before `usual`
 * @param usual unit of a number that has none
 * @param fits whether a length, mm, would pass
 */
export function likelySlip(
  mm: number,
  typed: unknown,
  usual: LengthUnit,
  fits: (mm: number) => boolean,
): Slip | undefined {
  const unit = unitWritten(String(typed)) ?? usual;
  const possible = OTHER_UNITS[unit].filter(([, factor]) => fits(mm * factor));
  // 2 among leaves in inches is 2 thou, not 2 mm; 0.2 is 0.2 mm.
  const other = possible.length > 1 && unit === "in" && mm >= 25.4 ? possible.at(-1) : possible[0];
  if (other !== undefined) {
    const [name, factor] = other;
    const size = mm * factor;
    const meant = name === "thou" ? thouText(size) : typedLength(size, name === "inches" ? "in" : "mm");
    return { problem: `it looks like ${name}`, meant };
  }
  const shift = SHIFTS.find((factor) => fits(mm * factor));
  if (shift === undefined) return undefined;
  return { problem: "its decimal point seems to have slipped", meant: typedLength(mm * shift, unit) };
}

/** The unit written after a number, as far as it matters here; `undefined` for a bare number. */
function unitWritten(typed: string): LengthUnit | undefined {
  if (/\p{L}|["″”]/u.test(typed.replace(/(?<=\d)e[+-]?\d+/giu, "")))
    return /in|thou|["″”]/iu.test(typed) ? "in" : "mm";
  return undefined;
}

/** Decimals that show a length of the shop without rounding what was typed. */
const DIGITS = { mm: 4, in: 5 } as const;

/** A length as it could be typed: `0.05 mm`, without zeros at its end. */
export const typedLength = (mm: number, unit: LengthUnit): string =>
  formatLength(mm, { unit, digits: DIGITS[unit] })
    .replace(/(\.\d*?)0+ /, "$1 ")
    .replace(/\. /, " ");

const thouText = (mm: number): string => `${Number((mm / 0.0254).toFixed(2))} thou`;

/** A limit, to three significant digits: `39.4 in`, `31.3 thou`. */
const roundLength = (mm: number, unit: LengthUnit): string =>
  unit === "in" ? inchLength(mm, 3) : `${Number(mm.toPrecision(3))} mm`;

/** Problem and rule for a length beyond its limits; `undefined` if it is within them. */
export function beyondLimits(
  mm: number,
  typed: unknown,
  unit: LengthUnit,
  { least = 0, most }: LengthLimits,
): { readonly problem: string; readonly rule: string; readonly meant: string | undefined } | undefined {
  const fits = (size: number): boolean => size === 0 || (Math.abs(size) >= least && Math.abs(size) <= most);
  if (fits(mm)) return undefined;
  const slip = likelySlip(mm, typed, unit, fits);
  const range =
    least > 0
      ? `it lies between ${roundLength(least, unit)} and ${roundLength(most, unit)} here`
      : `it is at most ${roundLength(most, unit)} here`;
  return {
    problem: slip?.problem ?? `it is too ${Math.abs(mm) > most ? "large" : "small"}`,
    rule: slip === undefined ? range : `${range}, so write ${slip.meant} if that is meant`,
    meant: slip?.meant,
  };
}

/** A length well within the limits, for an example: `710 mm`. */
export const lengthWithin = ({ least = 0, most }: LengthLimits): string =>
  `${Number((least > 0 ? Math.sqrt(least * most) : most / 10).toPrecision(2))} mm`;
