import { type AsanohaSquareOptions, asanohaSquare } from "../../lattice/asanoha-square.js";
import type { Cell } from "../../lattice/cell.js";
import { compileCell } from "../../lattice/compile-cell.js";

export const DEGREE = Math.PI / 180;

/** The square cell with every joint read at the front and at the back; cuts may lean. */
export const deepSquare = (opening: number, strip: number, depth: number): Cell =>
  compileCell({ ...asanohaSquare({ opening, strip }), depth });

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
