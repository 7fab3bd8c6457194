import { formatAngle, formatLength, type ResultUnit } from "../quantity/index.js";
import { requireFinite } from "./chart-error.js";

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

export interface QuantityTextOptions {
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
