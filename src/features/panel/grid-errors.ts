import type { RandomStream } from "../../core/numeric/random-stream.js";
import { drawPlaces, type GridSpreads, type UprightShape } from "./grid-shape.js";

/** Border members in the order of their turns. */
export const BORDER = { left: 0, right: 1, top: 2, bottom: 3 } as const;

/**
 * The errors of one grid of upright and level strips. Uprights are counted from the left, levels from the top, including the border's members (0 and the last).
 * The first border members are the reference for all positions; the positions of the last ones follow from the laps of the border's own members.
 */
export class GridErrors {
  readonly shape: UprightShape;
  /** Displacement of upright j to the right where level i crosses it, mm; row-major (i, j). */
  readonly upright: Float64Array;
  /** Downward displacement of level i where upright j crosses it, mm; row-major (j, i). */
  readonly level: Float64Array;
  /** Excess of each strip's thickness over nominal, mm; 0 for the border, for which only the inner faces matter. */
  readonly uprightThickness: Float64Array;
  readonly levelThickness: Float64Array;
  /** Deviation of the corners from a right angle, rad: uprights are turned counter-clockwise by half of it, levels clockwise. */
  racked = 0;
  /** Turn of each border member about its middle, rad, counter-clockwise, in the order of {@link BORDER}. */
  readonly borderTurn = new Float64Array(4);
  /** Total excess thickness of the border's two uprights, and of its two levels, mm. */
  readonly borderThickness = new Float64Array(2);
  /** Crossings at which a strip is thicker than its lap is wide, of {@link crossings}. */
  tight = 0;

  constructor(shape: UprightShape) {
    this.shape = shape;
    const [uprights, levels] = [shape.across.strips.length, shape.down.strips.length];
    this.upright = new Float64Array(levels * uprights);
    this.level = new Float64Array(uprights * levels);
    this.uprightThickness = new Float64Array(uprights);
    this.levelThickness = new Float64Array(levels);
  }

  /** Laps that hold a strip between the borders, in both directions. */
  get crossings(): number {
    const { rows, columns } = this.shape.panel;
    return (columns - 1) * (rows + 1) + (rows - 1) * (columns + 1);
  }

  /**
   * Draws a grid. The same random numbers are drawn whatever the standard deviations, so that two grids drawn from the same stream differ only where their standard deviations do.
   *
   * @param batchDraw standard normal draw for the batch's thickness; it may be shared with the pieces.
   */
  draw(stream: RandomStream, spreads: GridSpreads, batchDraw: number): void {
    const { across, down } = this.shape;
    this.#place(stream, spreads.place, this.upright, down.cells, across.cells);
    this.#place(stream, spreads.place, this.level, across.cells, down.cells);
    for (const strips of [this.uprightThickness, this.levelThickness]) {
      for (let k = 1; k < strips.length - 1; k++)
        strips[k] = spreads.batch * batchDraw + spreads.thickness * stream.normal();
    }
    this.racked = spreads.racked * stream.normal();
    for (let k = 0; k < 4; k++) this.borderTurn[k] = spreads.borderTurn * stream.normal();
    const batch = spreads.borderBatch * stream.normal();
    for (let k = 0; k < 2; k++)
      this.borderThickness[k] = 2 * batch + Math.SQRT2 * spreads.borderThickness * stream.normal();
    this.tight = 0;
    this.#play(stream, spreads.play, this.upright, this.uprightThickness, down.cells);
    this.#play(stream, spreads.play, this.level, this.levelThickness, across.cells);
  }

  /** Outer width and height, mm: at the wider end, and including the protrusion of the corners of a racked panel. */
  outerSize(): readonly [width: number, height: number] {
    const { width, height } = this.shape;
    const lean = Math.sin(Math.abs(this.racked) / 2);
    const wider = (place: Float64Array, thickness: Float64Array): number => {
      const n = thickness.length - 1;
      return Math.max(place[n]!, place.at(-1)!);
    };
    return [
      width + wider(this.upright, this.uprightThickness) + this.borderThickness[0]! + height * lean,
      height + wider(this.level, this.levelThickness) + this.borderThickness[1]! + width * lean,
    ];
  }

  /** Laps 1 … n along each of the strips 0 … last that cross them; the border's far member is straight between the laps of the first and of the last strip. */
  #place(stream: RandomStream, deviation: number, place: Float64Array, last: number, n: number): void {
    const { way, bundled } = this.shape.panel.laps;
    const laps = { way, place: deviation };
    const width = n + 1;
    for (let strip = 0; strip <= last; strip++) {
      const from = strip * width;
      if (bundled && strip > 0) {
        place.copyWithin(from, 0, width);
        continue;
      }
      drawPlaces(stream, laps, place, from, n);
    }
    const along = (place === this.upright ? this.shape.down : this.shape.across).strips;
    const [start, end] = [along[0]!, along[last]!];
    const [first, final] = [place[n]!, place[last * width + n]!];
    for (let strip = 1; strip < last; strip++)
      place[strip * width + n] = first + ((along[strip]! - start) / (end - start)) * (final - first);
  }

  /** A strip thinner than its lap may lie anywhere in it. */
  #play(
    stream: RandomStream,
    share: number,
    place: Float64Array,
    thickness: Float64Array,
    last: number,
  ): void {
    const { panel, strip } = this.shape;
    const width = thickness.length;
    for (let crossing = 0; crossing <= last; crossing++) {
      for (let k = 1; k < width - 1; k++) {
        const play = panel.laps.width - strip - thickness[k]!;
        const where = stream.uniform() - 0.5;
        if (play < 0) this.tight++;
        else place[crossing * width + k]! += share * play * where;
      }
    }
  }
}

/** Index at which each wall's turn (rad) is written; its offset (mm) comes right after it. */
const [LEFT, RIGHT, TOP, BOTTOM] = [0, 2, 4, 6];

/**
 * Effect of a grid on one cell: for its left, right, top and bottom wall in this order, the turn (rad, counter-clockwise about its middle) and the offset (mm, into the opening +) relative to the cell at its nominal position.
 * A strip is straight between two crossings and forms one wall of each of the two cells beside it: a displacement m makes one cell smaller by m and the other larger by m; an excess thickness dt makes both smaller by dt/2.
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

  // A border member turns about its middle; each offset is the turn times the distance along the wall, in the direction of the normal turned by +90°.
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

/** Moves the cell's axes to the centre between its walls, because a common displacement of opposite walls is not an error of the cell. */
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

/** Mean of the excess width and excess height of the opening over nominal, mm. */
export const openingError = (walls: Float64Array): number =>
  -(walls[LEFT + 1]! + walls[RIGHT + 1]! + walls[TOP + 1]! + walls[BOTTOM + 1]!) / 2;
