import { type AxisUnit, axisTitle, isAngle } from "./axis-unit.js";
import type { Panel } from "./chart-spec.js";

/** Axis titles without their unit, for what turns and for what has a length. */
export interface AxisTitles {
  readonly angle: string;
  readonly length: string;
}

/** One panel for each unit among the rows, in the order in which they first come. */
export function unitPanels<Row extends { readonly unit: AxisUnit }>(
  rows: readonly Row[],
  panel: (own: readonly Row[]) => Panel,
): Panel[] {
  const units = [...new Set(rows.map(({ unit }) => unit))];
  return units.map((unit) => panel(rows.filter((row) => row.unit === unit)));
}

/** The axis title of a panel, its unit after it. */
export function unitAxisTitle(
  unit: AxisUnit,
  titles: { readonly angle?: string; readonly length?: string } | undefined,
  usual: AxisTitles,
): string {
  const kind = isAngle(unit) ? "angle" : "length";
  return axisTitle(titles?.[kind] ?? usual[kind], unit);
}
