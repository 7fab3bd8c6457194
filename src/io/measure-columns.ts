import type { SignRule } from "../core/quantity/index.js";
import type { Row } from "./table.js";

/** The kinds of measured value. */
export type MeasureKind = "angle" | "length";
const MEASURE_UNITS: Readonly<Record<MeasureKind, readonly string[]>> = {
  angle: ["deg", "arcmin", "rad"],
  length: ["mm", "µm", "in", "thou"],
};

/** The unit in a cell and what it is a unit of; `undefined` after noting that there is no such unit. An empty cell means `usual`. */
export function readMeasureUnit<C extends string>(
  row: Row<C>,
  column: C,
  usual: string,
  example = usual,
): { readonly unit: string; readonly kind: MeasureKind } | undefined {
  const typed = row.get(column).toLowerCase() || usual;
  for (const kind of ["length", "angle"] as const)
    if (MEASURE_UNITS[kind].includes(typed)) return { unit: typed, kind };
  const rule = "a length is in mm, µm, in or thou, an angle in deg, arcmin or rad";
  return row.refuse(column, { problem: "there is no such unit", rule }, example);
}

/** A length (mm) or an angle (rad) in a cell that must not be empty; `undefined` after noting a fault. */
export function readMeasure<C extends string>(
  row: Row<C>,
  column: C,
  { unit, kind }: { readonly unit: string; readonly kind: MeasureKind },
  sign: SignRule,
): number | undefined {
  const example = kind === "angle" ? "45.1" : "44.12";
  if (row.get(column) === "")
    return row.refuse(
      column,
      { problem: "nothing is written", rule: "every row has what was read" },
      example,
    );
  return row.quantity(column, kind, { unit, sign, example });
}
