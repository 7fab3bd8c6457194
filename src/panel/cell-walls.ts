import { BORDER, type GridErrors } from "./grid-errors.js";

/** Where each wall's turn (rad) is written, its offset (mm) behind it. */
const [LEFT, RIGHT, TOP, BOTTOM] = [0, 2, 4, 6];

/**
 * What a grid does to one cell: for its left, right, top and bottom wall in turn the turn (rad, counter-clockwise about its middle) and its offset (mm, into the opening +) against the cell at its nominal place.
 * A strip is straight between two crossings. It pushes one wall in each of the cells beside it: moved by m it takes m from one and gives it to the other, thicker by dt it takes dt/2 from both.
 *
 * @param row counted from the top, 0 first.
 * @param column counted from the left, 0 first.
 */
export function cellWalls(grid: GridErrors, row: number, column: number, out: Float64Array): void {
  const { across, down } = grid.shape;
  const [uprights, levels] = [across.strips.length, down.strips.length];
  const half = grid.racked / 2;

  const [top, bottom] = [down.strips[row]!, down.strips[row + 1]!];
  const below = (down.middles[row]! - top) / (bottom - top);
  for (const [at, strip, side] of [
    [LEFT, column, 1],
    [RIGHT, column + 1, -1],
  ] as const) {
    const upper = grid.upright[row * uprights + strip]!;
    const lower = grid.upright[(row + 1) * uprights + strip]!;
    out[at] = (lower - upper) / (bottom - top) + half;
    out[at + 1] = side * (upper + below * (lower - upper)) + grid.uprightThickness[strip]! / 2;
  }

  const [left, right] = [across.strips[column]!, across.strips[column + 1]!];
  const beyond = (across.middles[column]! - left) / (right - left);
  for (const [at, strip, side] of [
    [TOP, row, 1],
    [BOTTOM, row + 1, -1],
  ] as const) {
    const near = grid.level[column * levels + strip]!;
    const far = grid.level[(column + 1) * levels + strip]!;
    out[at] = (near - far) / (right - left) - half;
    out[at + 1] = side * (near + beyond * (far - near)) + grid.levelThickness[strip]! / 2;
  }

  // A border member turns about its middle; each offset is that times the way there along the wall, the normal turned by +90°.
  const [x, y] = [across.middles[column]! - across.clear / 2, down.middles[row]! - down.clear / 2];
  if (column === 0) turnBorder(grid, BORDER.left, out, LEFT, -y);
  if (column === across.cells - 1) turnBorder(grid, BORDER.right, out, RIGHT, y);
  if (row === 0) turnBorder(grid, BORDER.top, out, TOP, x);
  if (row === down.cells - 1) turnBorder(grid, BORDER.bottom, out, BOTTOM, -x);
}

function turnBorder(grid: GridErrors, member: number, out: Float64Array, at: number, along: number): void {
  const turn = grid.borderTurn[member]!;
  out[at]! += turn;
  out[at + 1]! -= turn * along;
}

/** Puts the cell's axes in the middle between its walls: what opposite walls moved together is no error of the cell. */
export function toOwnAxes(walls: Float64Array): void {
  for (const [a, b] of [
    [LEFT, RIGHT],
    [TOP, BOTTOM],
  ] as const) {
    const mean = (walls[a + 1]! + walls[b + 1]!) / 2;
    walls[a + 1] = mean;
    walls[b + 1] = mean;
  }
}

/** The same walls seen in a mirror that swaps left and right. */
export function mirrored(walls: Float64Array): void {
  const [turn, offset] = [walls[LEFT]!, walls[LEFT + 1]!];
  walls[LEFT] = walls[RIGHT]!;
  walls[LEFT + 1] = walls[RIGHT + 1]!;
  walls[RIGHT] = turn;
  walls[RIGHT + 1] = offset;
  for (const at of [LEFT, RIGHT, TOP, BOTTOM]) walls[at] = -walls[at]!;
}

/** How much wider and higher than nominal the opening is, taken together and halved, mm. */
export const openingError = (walls: Float64Array): number =>
  -(walls[LEFT + 1]! + walls[RIGHT + 1]! + walls[TOP + 1]! + walls[BOTTOM + 1]!) / 2;
