import type { Job } from "../../job/job.js";
import type { Cell } from "../../lattice/cell.js";
import { angleText, pieceLength } from "./shop-numbers.js";

/** Kind, number and tip-to-tip length of the pieces at nominal size. */
export function pieceRows(cell: Cell, units: Job["units"]): string[][] {
  const kinds = new Map<string, { count: number; length: number }>();
  for (const { kind, length } of cell.pieces)
    kinds.set(kind, { count: (kinds.get(kind)?.count ?? 0) + 1, length });
  return [...kinds].map(([kind, { count, length }]) => [kind, String(count), pieceLength(length, units)]);
}

/** Group, jig angle and stop of the cuts: from the tip at the start of the piece to where the cut crosses its middle line. */
export function stopRows(cell: Cell, units: Job["units"]): string[][] {
  const rows = new Map<string, string[]>();
  for (const { length, cuts } of cell.pieces) {
    for (const { group, jigAngle, reach, end } of cuts) {
      const stop = end === 1 ? pieceLength(length / 2 + reach, units) : "first end";
      if (!rows.has(group)) rows.set(group, [group, angleText(jigAngle), stop]);
    }
  }
  return [...rows.values()];
}
