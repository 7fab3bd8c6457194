import { type AsanohaSquareOptions, asanohaSquare } from "../../lattice/asanoha-square.js";
import type { Cell } from "../../lattice/cell.js";
import { compileCell } from "../../lattice/compile-cell.js";

export const DEGREE = Math.PI / 180;

export const squareCell = (opening: number, strip: number, more: Partial<AsanohaSquareOptions> = {}): Cell =>
  compileCell(asanohaSquare({ opening, strip, ...more }));

/** Openings and strips (mm) from small and stout to large and slender. */
export const SIZES: readonly (readonly [opening: number, strip: number])[] = [
  [20, 2],
  [48, 4],
  [60, 3],
  [60, 3.175],
  [120, 6],
  [300, 3],
];
