import { FAMILIES, pointsUp } from "../lattice/three-way-grid.js";
import { BORDER } from "./grid-errors.js";
import type { ThreeWayErrors } from "./three-way-errors.js";

const WALLS = FAMILIES.length;

/**
 * What a three-way grid does to one cell: for its level, its falling and its rising wall the turn (rad, counter-clockwise about its middle) and the offset (mm, into the opening +).
 * A wall runs straight between two crossings. A cell that stands on its point is the same cell turned by 180°: each of its walls lies along the strips of the same direction, and its turn and its offset stay what they are.
 *
 * @param row counted from the top, 0 first.
 * @param column whole triangles of a row counted from the left, 0 first.
 */
export function triangleWalls(grid: ThreeWayErrors, row: number, column: number, out: Float64Array): void {
  const { rows, pitch, clear } = grid.shape.grid;
  const up = pointsUp(row, column);
  const [base, tip] = up ? [row + 1, row] : [row, row + 1];
  const left = grid.at({ line: base, half: column });
  const right = grid.at({ line: base, half: column + 2 });
  const point = grid.at({ line: tip, half: column + 1 });
  // Each wall from the crossing that its strip comes to first, and on which side of its strip the opening lies.
  const walls = up
    ? [[left, right, 1] as const, [point, right, -1] as const, [point, left, 1] as const]
    : [[left, right, -1] as const, [left, point, 1] as const, [right, point, -1] as const];
  for (const [k, [from, to, side]] of walls.entries()) {
    const [near, far] = [grid.aside[WALLS * from + k]!, grid.aside[WALLS * to + k]!];
    out[2 * k] = (far - near) / pitch;
    out[2 * k + 1] = (side * (near + far)) / 2 + grid.thickness[WALLS * from + k]! / 2;
  }
  if (base !== 0 && base !== rows) return;
  // A level border member turns about its middle.
  const turn = grid.borderTurn[base === 0 ? BORDER.top : BORDER.bottom]!;
  out[0]! += turn;
  out[1]! += (up ? 1 : -1) * turn * (((column + 1) * pitch) / 2 - clear.width / 2);
}

/** Puts the cell's axes where its walls stand equally far in: what moves a cell as a whole is no error of it. */
export function toTriangleAxes(walls: Float64Array): void {
  const mean = (walls[1]! + walls[3]! + walls[5]!) / 3;
  for (const at of [1, 3, 5]) walls[at] = mean;
}

/** By how much the clear side of the opening is longer than nominal, mm: it is 2·√3 times the radius of the circle within. */
export const sideError = (walls: Float64Array): number =>
  (-2 / Math.sqrt(3)) * (walls[1]! + walls[3]! + walls[5]!);
