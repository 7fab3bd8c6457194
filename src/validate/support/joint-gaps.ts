import type { Cell } from "../../lattice/cell.js";
import { predictCell } from "../../predict/predict-cell.js";
import type { Order } from "../../lattice/cell.js";
import type { SettleOptions } from "../../predict/settle.js";

export const ORDERS: readonly Order[] = ["first", "exact"];

/** Gaps at rest by `joint toe` and `joint heel`, mm. */
export function jointGaps(
  cell: Cell,
  errors: Float64Array,
  options: SettleOptions = {},
  nameOf: (joint: string) => string = (joint) => joint,
): Map<string, number> {
  const { probes } = predictCell(cell, errors, options);
  return new Map(probes.map(({ joint, at, gap }) => [`${nameOf(joint)} ${at}`, gap]));
}

/** Largest difference between two sets of gaps, mm; infinite when they are not of the same places. */
export function largestDifference(
  a: ReadonlyMap<string, number>,
  b: ReadonlyMap<string, number>,
  factor = 1,
): number {
  if (a.size !== b.size) return Number.POSITIVE_INFINITY;
  return [...a].reduce(
    (most, [place, gap]) =>
      Math.max(most, Math.abs(factor * gap - (b.get(place) ?? Number.POSITIVE_INFINITY))),
    0,
  );
}
