import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import {
  BORDER,
  cellWalls,
  GridErrors,
  mirrored,
  openingError,
  toOwnAxes,
} from "../../../src/features/panel/grid-errors.js";
import { errorLayout, noErrors, rackedGrid } from "../../../src/model/cell/cell-errors.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { PERFECT_GRID, panelJob, uprightShape } from "./support/panel-job.js";

const JOB = panelJob({ rows: 3, columns: 4 });
const shape = uprightShape(JOB);
/** A turn and an offset for each wall. */
const WALLS = shape.walls;
const WALL_NUMBERS = 2 * WALLS.length;
const UPRIGHTS = 5;
const LEVELS = 4;

function walls(grid: GridErrors, row: number, column: number) {
  const out = new Float64Array(WALL_NUMBERS);
  cellWalls(grid, row, column, out);
  return Object.fromEntries(WALLS.map((wall, w) => [wall, { turn: out[2 * w]!, offset: out[2 * w + 1]! }]));
}

describe("the walls of a panel's cells", () => {
  it("share a strip: thicker by dt it stands dt/2 further into both openings, moved it gives to one what it takes from the other", () => {
    const grid = new GridErrors(shape);
    grid.uprightThickness[2] = 0.06;
    grid.levelThickness[1] = 0.04;
    expect(walls(grid, 1, 1)["wall-right"]).toEqual({ turn: 0, offset: 0.03 });
    expect(walls(grid, 1, 2)["wall-left"]).toEqual({ turn: 0, offset: 0.03 });
    expect(walls(grid, 0, 3)["wall-bottom"]!.offset).toBe(0.02);
    expect(walls(grid, 1, 3)["wall-top"]!.offset).toBe(0.02);
    expect(walls(grid, 1, 3)["wall-left"]!.offset).toBe(0);

    const moved = new GridErrors(shape);
    for (let i = 0; i < LEVELS; i++) moved.upright[i * UPRIGHTS + 2] = 0.05;
    expect(walls(moved, 1, 1)["wall-right"]!.offset).toBeCloseTo(-0.05, 15);
    expect(walls(moved, 1, 2)["wall-left"]!.offset).toBeCloseTo(0.05, 15);
  });

  it("are where the strip's faces are, as geometry has it", () => {
    const grid = new GridErrors(shape);
    const spreads = { ...PERFECT_GRID, place: 0.3, play: 1, thickness: 0.1 };
    grid.draw(createStream(3), spreads, 0);
    const { across, down } = shape;
    // Row 1, column 2: each wall's face is put up from two points of its strip's middle line, in axes with y up, and asked where it meets the cell's middle line.
    const [x, y] = [across.middles[2]!, down.middles[1]!];
    const half = JOB.opening / 2;
    for (const [wall, j, side] of [
      ["wall-left", 2, 1],
      ["wall-right", 3, -1],
    ] as const) {
      const at = (i: number) => ({
        x: across.strips[j]! + grid.upright[i * UPRIGHTS + j]!,
        y: -down.strips[i]!,
      });
      const [upper, lower] = [at(1), at(2)];
      const run = (upper.x - lower.x) / (upper.y - lower.y);
      const thick = (JOB.strip + grid.uprightThickness[j]!) / 2;
      const met = lower.x + run * (-y - lower.y) + side * thick;
      const { turn, offset } = walls(grid, 1, 2)[wall]!;
      expect(offset).toBeCloseTo(side * (met - (x - side * half)), 9);
      // Counter-clockwise: the upper end goes to the left.
      expect(turn).toBeCloseTo(-run, 12);
    }
    for (const [wall, i, side] of [
      ["wall-top", 1, -1],
      ["wall-bottom", 2, 1],
    ] as const) {
      const at = (j: number) => ({
        x: across.strips[j]!,
        y: -(down.strips[i]! + grid.level[j * LEVELS + i]!),
      });
      const [near, far] = [at(2), at(3)];
      const rise = (far.y - near.y) / (far.x - near.x);
      const thick = (JOB.strip + grid.levelThickness[i]!) / 2;
      const met = near.y + rise * (x - near.x) + side * thick;
      const { turn, offset } = walls(grid, 1, 2)[wall]!;
      expect(offset).toBeCloseTo(side * (met - (-y - side * half)), 9);
      expect(turn).toBeCloseTo(rise, 12);
    }
  });

  it("turn with a racked panel as the racked grid of one cell does, by half the corner's miss", () => {
    const grid = new GridErrors(shape);
    grid.racked = 0.01;
    const cell = jobCell(JOB);
    const { indexOf } = errorLayout(cell);
    const direction = rackedGrid(cell);
    for (const wall of WALLS)
      expect(walls(grid, 2, 3)[wall]!.turn).toBeCloseTo(0.005 * direction[indexOf("turn", wall)]!, 15);
  });

  it("follow a border member that turns about its middle", () => {
    const grid = new GridErrors(shape);
    grid.borderTurn[BORDER.left] = 0.001;
    grid.borderTurn[BORDER.top] = 0.002;
    const pitch = JOB.opening + JOB.strip;
    // Counter-clockwise, the upper end of the left member goes left, out of the opening; the top member's right end goes up, out of it.
    expect(walls(grid, 0, 0)["wall-left"]!.offset).toBeCloseTo(-0.001 * pitch, 12);
    expect(walls(grid, 2, 0)["wall-left"]!.offset).toBeCloseTo(0.001 * pitch, 12);
    expect(walls(grid, 0, 3)["wall-top"]!.offset).toBeCloseTo(-0.002 * 1.5 * pitch, 12);
    expect(walls(grid, 0, 1)["wall-left"]!.offset).toBe(0);
    expect(walls(grid, 1, 0)["wall-left"]!.turn).toBe(0.001);
  });

  it("may be counted from the middle of the cell, and seen in a mirror: first-order gaps stay what they are", () => {
    const grid = new GridErrors(shape);
    grid.draw(createStream(5), { ...PERFECT_GRID, place: 0.05, thickness: 0.02, racked: 0.002 }, 0);
    const out = new Float64Array(WALL_NUMBERS);
    cellWalls(grid, 1, 2, out);
    const own = out.slice();
    toOwnAxes(own);
    expect(own).not.toEqual(out);
    expect(openingError(own)).toBeCloseTo(openingError(out), 15);
    const gapsOf = (numbers: Float64Array, order: "first" | "exact") => {
      const cell = jobCell(JOB);
      const errors = noErrors(cell);
      const { indexOf } = errorLayout(cell);
      for (const [w, wall] of WALLS.entries()) {
        errors[indexOf("turn", wall)] = numbers[2 * w]!;
        errors[indexOf("offset", wall)] = numbers[2 * w + 1]!;
      }
      return solveEquilibrium(cellModel(cell), errors, { order }).rest.gap;
    };
    const [before, after] = [gapsOf(out, "first"), gapsOf(own, "first")];
    for (const [i, gap] of before.entries()) expect(after[i]).toBeCloseTo(gap, 9);

    const seen = own.slice();
    mirrored(seen);
    mirrored(seen);
    expect(seen).toEqual(own);
  });

  it("open a mirrored cell as the mirror image of the cell opens", () => {
    // A square cell mirrored about its other diagonal is itself: walls left and top, right and bottom change places, and every turn its sense.
    const racked = new Float64Array([0.001, 0, 0.001, 0, -0.001, 0, -0.001, 0]);
    const other = racked.slice();
    mirrored(other);
    // What stretches the diagonal of one cell shortens that of its neighbour.
    expect(Array.from(other)).toEqual(Array.from(racked, (turn) => 0 - turn));
  });
});
