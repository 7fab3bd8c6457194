import { quantityText } from "../../charts/axis-unit.js";
import type { ResultUnit } from "../../quantity/index.js";
import { expandedParts, signed } from "./shop-numbers.js";

/** A number in a table; mm or rad as its unit has it, a share where the unit is `%`, as it is where there is none. */
export interface Figure {
  readonly value: number;
  readonly unit: ResultUnit | "%" | "none";
  /** Expanded uncertainty, > 0, in the unit of the value: the number is rounded to it and stands with it, `0.61 ± 0.06`. */
  readonly U?: number;
  /** The other end of a range, in the unit of the value, `0.55 to 0.67`. */
  readonly to?: number;
  /** Decimals where there is no uncertainty; default by unit. */
  readonly digits?: number;
  /** A plus before what is above zero; default false. */
  readonly signed?: boolean;
}

/** A figure as it is written: one number or two, what stands between them, and the unit's mark with its space. */
export interface WrittenFigure {
  readonly numbers: readonly string[];
  readonly between: string;
  readonly mark: string;
}

const MARK: Readonly<Record<Figure["unit"], string>> = {
  ...{ mm: " mm", in: " in", thou: " thou", deg: "°", arcmin: "′", "%": " %", none: "" },
};
const DIGITS: Readonly<Record<Figure["unit"], number>> = {
  ...{ mm: 3, in: 4, thou: 1, deg: 2, arcmin: 1, "%": 0, none: 2 },
};

/** What stands between the ends of a range. */
export const RANGE = " to ";

export function writtenFigure({
  value,
  unit,
  U,
  to,
  digits = DIGITS[unit],
  signed: plus = false,
}: Figure): WrittenFigure {
  const mark = MARK[unit];
  const sign = (text: string): string => (plus ? signed(text) : text);
  if (U !== undefined && U > 0 && unit !== "%" && unit !== "none") {
    const parts = expandedParts(value, U, unit);
    return { numbers: [sign(parts.value), parts.uncertainty], between: " ± ", mark };
  }
  const text = (x: number): string => sign(plainNumber(x, unit, digits));
  return { numbers: to === undefined ? [text(value)] : [text(value), text(to)], between: RANGE, mark };
}

function plainNumber(value: number, unit: Figure["unit"], digits: number): string {
  if (unit !== "%" && unit !== "none") return quantityText(value, unit, { digits, withUnit: false });
  const text = (unit === "%" ? 100 * value : value).toFixed(digits);
  return (/[1-9]/.test(text) ? text : text.replace("-", "")).replace("-", "−");
}
