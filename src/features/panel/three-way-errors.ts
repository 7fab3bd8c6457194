import type { RandomStream } from "../../core/numeric/random-stream.js";
import {
  ALONG,
  ASIDE,
  atBorder,
  type Crossing,
  FAMILIES,
  type GridLine,
  pointsUp,
  type ThreeWayGrid,
} from "../../model/cell/three-way-grid.js";
import { BORDER } from "./grid-errors.js";
import { drawPlaces, type GridSpreads, placeCovariance, type ThreeWayShape } from "./grid-shape.js";

const [LEVEL, FALLING, RISING] = [0, 1, 2];
const THREE = FAMILIES.length;

/**
 * The errors of one three-way grid. Every strip has one lap at each crossing, counted from the strip's start; the three laps of a crossing determine its position along their strips, which is
 * one condition more than necessary. The crossing takes the least-squares position: each lap then yields by a third of the closing error, and all three strips run
 * through one point. Strips that end at the border are held only by its laps. The left and upper members are the reference for all positions.
 */
export class ThreeWayErrors {
  readonly shape: ThreeWayShape;
  /** Position error, along the strip, of the lap of each family's strip at each crossing, mm; at index 3·(number of the crossing) + family. */
  readonly laps: Float64Array;
  /** Sideways displacement of each family's strip at each crossing, mm, positive in the direction of `ASIDE`. */
  readonly aside: Float64Array;
  /** Excess thickness of each family's strip there, mm; 0 for the border. */
  readonly thickness: Float64Array;
  /** Downward position errors of the left and the right member's laps, by line, mm. */
  readonly left: Float64Array;
  readonly right: Float64Array;
  /** Displacement of the right member to the right at its upper and at its lower end, mm. */
  readonly rightMember = new Float64Array(2);
  /** Turn of each border member about its middle, rad, counter-clockwise, in the order of `BORDER`; the turn of an upright member affects no whole cell. */
  readonly borderTurn = new Float64Array(4);
  /** Total excess thickness of the border's two uprights, and of its two levels, mm. */
  readonly borderThickness = new Float64Array(2);
  /** Laps that leave a strip no room, of {@link crossings}: the strip is thicker than its lap, or the three laps of its crossing disagree by more than their play. */
  tight = 0;
  /** Laps that hold a strip: three at each crossing within the border, and one for each strip that ends at one on the border. */
  readonly crossings: number;
  readonly #held: readonly HeldCrossing[];
  readonly #places: Float64Array;
  readonly #within = new Float64Array(THREE);

  constructor(shape: ThreeWayShape) {
    const { grid } = shape;
    const numbers = THREE * (grid.rows + 1) * (grid.columns + 2);
    this.shape = shape;
    this.laps = new Float64Array(numbers);
    this.aside = new Float64Array(numbers);
    this.thickness = new Float64Array(numbers);
    this.left = new Float64Array(grid.rows + 1);
    this.right = new Float64Array(grid.rows + 1);
    this.#held = heldCrossings(grid);
    this.#places = new Float64Array(Math.max(grid.rows, grid.columns + 1) + 2);
    this.crossings = this.#held.reduce((sum, { families }) => sum + families.length, 0);
  }

  /** Number of a crossing. */
  at(crossing: Crossing): number {
    return crossingNumber(this.shape.grid, crossing);
  }

  /** Draws a grid; the same random numbers are drawn whatever the standard deviations. @param batchDraw standard normal draw for the batch's thickness. */
  draw(stream: RandomStream, spreads: GridSpreads, batchDraw: number): void {
    this.#drawLaps(stream, spreads.place);
    this.#drawSides(stream, spreads.place);
    for (const line of this.shape.grid.lines) {
      const thicker = line.border ? 0 : spreads.batch * batchDraw + spreads.thickness * stream.normal();
      const family = FAMILIES.indexOf(line.family);
      for (const crossing of line.crossings) this.thickness[THREE * this.at(crossing) + family] = thicker;
    }
    for (const k of Object.values(BORDER)) this.borderTurn[k] = spreads.borderTurn * stream.normal();
    const batch = spreads.borderBatch * stream.normal();
    for (const k of [0, 1])
      this.borderThickness[k] = 2 * batch + Math.SQRT2 * spreads.borderThickness * stream.normal();
    this.solveEquilibrium();
    this.#play(stream, spreads.play);
  }

  /** Places every strip according to its laps, without play. */
  solveEquilibrium(): void {
    for (const held of this.#held) {
      const [x, y] = held.ends ? this.#heldByBorder(held) : this.#balanced(held.at);
      for (const [k, family] of FAMILIES.entries())
        this.aside[THREE * held.at + k] = ASIDE[family].x * x + ASIDE[family].y * y;
    }
  }

  /** Closing error of the three laps of a crossing, mm along a strip: 0 if one point satisfies all of them. */
  closing(at: number): number {
    const from = THREE * at;
    return this.laps[from + LEVEL]! - this.laps[from + FALLING]! + this.laps[from + RISING]!;
  }

  /** Outer width and height, mm, at the wider end. */
  outerSize(): readonly [width: number, height: number] {
    const { width, height } = this.shape;
    return [
      width + Math.max(...this.rightMember) + this.borderThickness[0]!,
      height + Math.max(this.left.at(-1)!, this.right.at(-1)!) + this.borderThickness[1]!,
    ];
  }

  #drawLaps(stream: RandomStream, place: number): void {
    const { grid, laps, panel } = this.shape;
    const drawnFor = new Set<string>();
    // If laps are cut through all strips at once, the first strip's numbers are used for all strips, so it has as many as the longest one.
    const numberOf = ({ family }: GridLine): number => (family === "level" ? laps.across : grid.rows);
    for (const line of grid.lines) {
      const { family, border, crossings } = line;
      if (!panel.laps.bundled || !drawnFor.has(family))
        drawPlaces(stream, { way: panel.laps.way, place }, this.#places, 0, numberOf(line));
      drawnFor.add(family);
      const start = firstLap(line);
      for (const [k, crossing] of crossings.entries())
        this.laps[THREE * this.at(crossing) + FAMILIES.indexOf(family)] = this.#places[start + k]!;
      if (border) this.rightMember[crossings[0]!.line === 0 ? 0 : 1] = this.#places[laps.across]!;
    }
  }

  #drawSides(stream: RandomStream, place: number): void {
    const { grid, panel } = this.shape;
    const laps = { way: panel.laps.way, place };
    drawPlaces(stream, laps, this.left, 0, grid.rows);
    if (panel.laps.bundled) this.right.set(this.left);
    else drawPlaces(stream, laps, this.right, 0, grid.rows);
  }

  /** Σ (d·x − e)² over the three directions d and laps e has its minimum at x = ⅔ Σ e·d, because Σ d·dᵀ is 3/2 of the unit matrix. */
  #balanced(at: number): readonly [x: number, y: number] {
    let [x, y] = [0, 0];
    for (const [k, family] of FAMILIES.entries()) {
      const lap = (2 / 3) * this.laps[THREE * at + k]!;
      x += lap * ALONG[family].x;
      y += lap * ALONG[family].y;
    }
    return [x, y];
  }

  #heldByBorder({ line, half, at }: HeldCrossing): readonly [x: number, y: number] {
    const { rows, columns } = this.shape.grid;
    const [left, right] = [this.left, this.right];
    if (line === 0) return [this.laps[THREE * at]!, 0];
    if (line === rows)
      return [this.laps[THREE * at]!, -(left[rows]! + (half / (columns + 1)) * (right[rows]! - left[rows]!))];
    if (half === 0) return [0, -left[line]!];
    const [upper, lower] = this.rightMember;
    return [upper! + (line / rows) * (lower! - upper!), -right[line]!];
  }

  /** The end of a strip may lie anywhere in its lap in the border; at a crossing, the closing error of the laps reduces the play. */
  #play(stream: RandomStream, share: number): void {
    const { panel, strip } = this.shape;
    const room = (thickness: number): number => panel.laps.width - strip - thickness;
    const within = this.#within;
    this.tight = 0;
    for (const { at, ends, families } of this.#held) {
      const from = THREE * at;
      const thickest = Math.max(...families.map((k) => this.thickness[from + k]!));
      const left = room(thickest) - Math.abs(this.closing(at)) / Math.sqrt(3);
      if (!ends) drawPlay(stream, within);
      for (const k of families) {
        const play = ends ? room(this.thickness[from + k]!) : left;
        const where = ends ? stream.uniform() - 0.5 : within[k]!;
        if (play < 0) this.tight++;
        else this.aside[from + k]! += share * play * where;
      }
    }
  }
}

const WALLS = FAMILIES.length;

/**
 * Effect of a three-way grid on one cell: for its level, falling and rising wall the turn (rad, counter-clockwise about its middle) and the offset (mm, into the opening +).
 * A wall runs straight between two crossings. A cell that stands on its point is the same cell rotated by 180°: each of its walls lies along strips of the same direction, and its turn and offset keep their values.
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
  // For each wall: the crossing that its strip reaches first, and the side of the strip on which the opening lies.
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

/** Moves the cell's axes so that its walls are equally far in, because a displacement of the whole cell is not an error of the cell. */
export function toTriangleAxes(walls: Float64Array): void {
  const mean = (walls[1]! + walls[3]! + walls[5]!) / 3;
  for (const at of [1, 3, 5]) walls[at] = mean;
}

/** Excess of the opening's clear side over nominal, mm: the side is 2·√3 times the radius of the inscribed circle. */
export const sideError = (walls: Float64Array): number =>
  (-2 / Math.sqrt(3)) * (walls[1]! + walls[3]! + walls[5]!);

/** A crossing of a three-way grid with the strips that laps hold there. */
interface HeldCrossing extends Crossing {
  /** Its number: {@link crossingNumber}. */
  readonly at: number;
  /** Whether strips end there, at the border. */
  readonly ends: boolean;
  /** Families that have a strip there, as indices into `FAMILIES`; the border's own members are not included. */
  readonly families: readonly number[];
}

/** Crossings numbered row by row, every second number unused. */
const crossingNumber = ({ columns }: ThreeWayGrid, { line, half }: Crossing): number =>
  line * (columns + 2) + half;

function heldCrossings(grid: ThreeWayGrid): HeldCrossing[] {
  const found = new Map<number, HeldCrossing & { families: number[] }>();
  for (const { family, border, crossings } of grid.lines)
    for (const crossing of crossings) {
      const at = crossingNumber(grid, crossing);
      const held = found.get(at) ?? { ...crossing, at, ends: atBorder(grid, crossing), families: [] };
      found.set(at, held);
      if (!border) held.families.push(FAMILIES.indexOf(family));
    }
  return [...found.values()];
}

/** A strip of one family that is displaced sideways by v moves the middle of its lap, relative to a strip of another family, by v times the cosine of the angle between them. */
const CARRIED = FAMILIES.map((one) =>
  FAMILIES.map((other) => ASIDE[one].x * ASIDE[other].x + ASIDE[one].y * ASIDE[other].y),
);
/** Largest sideways displacement of one strip of a crossing, with the others adapting, as a share of the play. */
const FURTHEST = 2 / 3;

/**
 * Draws the positions of the three strips of a crossing within the play of their laps: the sideways displacement of each, as a share of the play. A strip lies in the laps of both others and carries its own laps with it, so
 * six conditions must hold at once. The point is drawn uniformly from a cube around the feasible region and, if it is outside that region, pulled back into it along the line to the centre: the standard
 * deviation is 0.24 of the play (0.26 for a uniform distribution over the feasible region).
 *
 * @param out three numbers, within ±⅔.
 */
export function drawPlay(stream: RandomStream, out: Float64Array): void {
  for (let k = 0; k < 3; k++) out[k] = 2 * FURTHEST * (stream.uniform() - 0.5);
  const share = Math.cbrt(stream.uniform());
  let beyond = 1;
  for (let s = 0; s < 3; s++)
    for (let t = 0; t < 3; t++)
      if (s !== t) beyond = Math.max(beyond, 2 * Math.abs(out[t]! - CARRIED[s]![t]! * out[s]!));
  if (beyond > 1) for (let k = 0; k < 3; k++) out[k]! *= share / beyond;
}

/** Index of a strip's lap at its first crossing: a level strip's count starts at the border's member, half a pitch before its first crossing on every second line. */
const firstLap = ({ family, crossings }: GridLine): number => (family === "level" ? crossings[0]!.half : 0);

/**
 * Largest standard deviation of the closing error of the three laps of a crossing, mm along a strip: √3·σ against a stop, σ·√(k + l + m) for the k-th, l-th and m-th
 * lap of their strips if indexed. 0 if no strips cross within the border.
 */
export function closingDeviation(shape: ThreeWayShape): number {
  const { grid, panel } = shape;
  const { laps } = panel;
  const variances = new Map<string, number>();
  for (const line of grid.lines)
    for (const [k, crossing] of line.crossings.entries()) {
      if (atBorder(grid, crossing)) continue;
      const lap = firstLap(line) + k;
      const at = `${crossing.line} ${crossing.half}`;
      variances.set(at, (variances.get(at) ?? 0) + placeCovariance(laps, lap, lap));
    }
  return Math.sqrt(Math.max(0, ...variances.values()));
}
