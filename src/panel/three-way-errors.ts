import { ALONG, ASIDE, type Crossing, FAMILIES, type GridLine } from "../lattice/three-way-grid.js";
import type { RandomStream } from "../numeric/random-stream.js";
import { firstLap } from "./closing-deviation.js";
import { BORDER } from "./grid-errors.js";
import type { ThreeWayShape } from "./grid-shape.js";
import type { GridSpreads } from "./grid-spreads.js";
import { crossingNumber, type HeldCrossing, heldCrossings } from "./held-crossings.js";
import { drawPlaces } from "./lap-places.js";
import { drawPlay } from "./play-in-crossing.js";

const [LEVEL, FALLING, RISING] = [0, 1, 2];
const THREE = FAMILIES.length;

/**
 * What is wrong with one three-way grid. Every strip has one lap at each crossing, counted from the strip's start; the three laps of a crossing say where along their strips it is, which is
 * one number more than it takes. It settles where the squares of what they have to give way are least: then each gives way by a third of the closing error, and all three strips run
 * through one point. Strips that end at the border are held by its laps alone. The left and upper members are what all else is counted from.
 */
export class ThreeWayErrors {
  readonly shape: ThreeWayShape;
  /** By how much the lap of each family's strip at each crossing is off along the strip, mm; at 3·(number of the crossing) + family. */
  readonly laps: Float64Array;
  /** How far each family's strip stands aside at each crossing, mm, in the sense of `ASIDE`. */
  readonly aside: Float64Array;
  /** By how much each family's strip is thicker than nominal there, mm; 0 for the border. */
  readonly thickness: Float64Array;
  /** How far down the left and the right member's laps are off, by line. */
  readonly left: Float64Array;
  readonly right: Float64Array;
  /** How far to the right the right member stands at its upper and at its lower end, mm. */
  readonly rightMember = new Float64Array(2);
  /** Turn of each border member about its middle, rad, counter-clockwise, as `BORDER` has them; that of an upright one touches no whole cell. */
  readonly borderTurn = new Float64Array(4);
  /** By how much the two uprights of the border together, and its two levels, are thicker than nominal, mm. */
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

  /** Draws a grid; the same numbers are drawn whatever the spreads. @param batchDraw what the batch's thickness is made from, standard normal. */
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
    this.settle();
    this.#play(stream, spreads.play);
  }

  /** Puts every strip where the laps have it, without play. */
  settle(): void {
    for (const held of this.#held) {
      const [x, y] = held.ends ? this.#heldByBorder(held) : this.#settled(held.at);
      for (const [k, family] of FAMILIES.entries())
        this.aside[THREE * held.at + k] = ASIDE[family].x * x + ASIDE[family].y * y;
    }
  }

  /** By how much the three laps of a crossing disagree, mm along a strip: nil where one point suits all of them. */
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
    // Laps cut through all strips at once: the first strip's numbers serve for all, so it has as many as the longest.
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

  /** Σ (d·x − e)² over the three directions d and laps e is least at ⅔ Σ e·d, for Σ d·dᵀ is 3/2 of the unit. */
  #settled(at: number): readonly [x: number, y: number] {
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

  /** A strip's end lies anywhere in its lap in the border; within a crossing what the laps disagree by is lost to the play. */
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
