import { describe, expect, it } from "vitest";
import { add, dot, scale, sub, turnedLeft, type Vec } from "../../../src/core/geometry.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { BORDER } from "../../../src/features/panel/grid-errors.js";
import {
  sideError,
  ThreeWayErrors,
  toTriangleAxes,
  triangleWalls,
} from "../../../src/features/panel/three-way-errors.js";
import { errorLayout, noErrors } from "../../../src/model/cell/cell-errors.js";
import { ASIDE, FAMILIES, pointsUp } from "../../../src/model/cell/three-way-grid.js";
import { jobCell } from "../../../src/model/job/job-cell.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { PERFECT_GRID, threeWayShape, trianglesWith } from "./support/panel-job.js";

const JOB = trianglesWith({ rows: 4, columns: 5 }, { place: 0.05 });
const shape = threeWayShape(JOB);
const { pitch, band, strip } = shape.grid;
const ROOT = Math.sqrt(3);

const wallsOf = (grid: ThreeWayErrors, row: number, column: number): Float64Array => {
  const out = new Float64Array(6);
  triangleWalls(grid, row, column, out);
  return out;
};

/** Middles of the crossings at a cell's corners, y upwards from the first line, in the order of its walls: each wall lies across from its corner. */
function corners(row: number, column: number): Vec[] {
  const at = (line: number, half: number): Vec => ({ x: (half * pitch) / 2, y: -line * band });
  const [base, tip] = pointsUp(row, column) ? [row + 1, row] : [row, row + 1];
  const [left, right] = [at(base, column), at(base, column + 2)];
  // The falling wall lies across from the left corner of a cell that stands, from the right one of a cell on its point.
  return pointsUp(row, column) ? [at(tip, column + 1), left, right] : [at(tip, column + 1), right, left];
}

/** A line through two crossings of a family, with the strip's face on the opening's side, put up point by point. */
function face(grid: ThreeWayErrors, family: number, ends: readonly [Vec, Vec], towards: Vec) {
  const number = ({ x, y }: Vec): number =>
    3 * grid.at({ line: Math.round(-y / band), half: Math.round((2 * x) / pitch) }) + family;
  const moved = ends.map((end) => add(end, scale(ASIDE[FAMILIES[family]!], grid.aside[number(end)]!)));
  const run = sub(moved[1]!, moved[0]!);
  const long = Math.hypot(run.x, run.y);
  let normal = scale(turnedLeft(run), 1 / long);
  if (dot(normal, sub(towards, moved[0]!)) < 0) normal = scale(normal, -1);
  const thick = (strip + grid.thickness[number(ends[0])]!) / 2;
  return { point: add(moved[0]!, scale(normal, thick)), normal };
}

describe("the walls of a three-way grid's cells", () => {
  it.each([
    [1, 1, false],
    [1, 2, true],
    [2, 3, true],
    [2, 2, false],
  ])("row %i, column %i are where the strips' faces are, as geometry has it", (row, column, up) => {
    expect(pointsUp(row, column)).toBe(up);
    const grid = new ThreeWayErrors(shape);
    // Small enough for what is of second order to be below the last digit asked for.
    grid.draw(createStream(3), { ...PERFECT_GRID, place: 0.002, play: 0.05, thickness: 0.004 }, 0);
    const across = corners(row, column);
    const middle = scale(across.reduce(add), 1 / 3);
    const walls = wallsOf(grid, row, column);
    for (const family of [0, 1, 2]) {
      const ends = across.filter((_, k) => k !== family) as [Vec, Vec];
      const nominal = face(new ThreeWayErrors(shape), family, ends, middle);
      const own = face(grid, family, ends, middle);
      // Half way between its ends, how much further in the face stands, and by how much it is turned.
      const foot = scale(add(ends[0], ends[1]), 0.5);
      const reach = (at: { point: Vec; normal: Vec }): number =>
        dot(sub(at.point, foot), at.normal) / dot(nominal.normal, at.normal);
      expect(walls[2 * family + 1]).toBeCloseTo(reach(own) - reach(nominal), 7);
      const turn = Math.asin(nominal.normal.x * own.normal.y - nominal.normal.y * own.normal.x);
      expect(walls[2 * family]).toBeCloseTo(turn, 9);
    }
  });

  it("share a strip: what one gives the other takes, and a thicker strip stands in both", () => {
    const grid = new ThreeWayErrors(shape);
    const line = grid.shape.grid.lines.find(
      ({ family, crossings }) => family === "level" && crossings[0]!.line === 2,
    )!;
    for (const crossing of line.crossings) {
      grid.aside[3 * grid.at(crossing)] = 0.05;
      grid.thickness[3 * grid.at(crossing)] = 0.04;
    }
    // Above line 2 stands the cell of row 1 (0 first) and column 2; below it the one of row 2 and column 2 hangs.
    expect([pointsUp(1, 2), pointsUp(2, 2)]).toEqual([true, false]);
    expect(wallsOf(grid, 1, 2)[1]).toBeCloseTo(0.05 + 0.02, 12);
    expect(wallsOf(grid, 2, 2)[1]).toBeCloseTo(-0.05 + 0.02, 12);
    expect(wallsOf(grid, 1, 2)[0]).toBe(0);
  });

  it("scatter and hang together from cell to cell as the closed forms say, for both ways of placing laps", () => {
    const GRIDS = 20_000;
    for (const way of ["stop", "indexed"] as const) {
      const [place, own] = [
        0.03,
        threeWayShape(trianglesWith({ rows: 4, columns: 5 }, { way, place: 0.03 })),
      ];
      const grid = new ThreeWayErrors(own);
      const stream = createStream(9);
      let [offset, turn, neighbour, side] = [0, 0, 0, 0];
      for (let n = 0; n < GRIDS; n++) {
        grid.draw(stream, { ...PERFECT_GRID, place }, 0);
        // The cell of row 1, column 2 stands on line 2 between the half pitches 2 and 4; below it hangs that of row 2, column 2.
        const [one, other] = [wallsOf(grid, 1, 2), wallsOf(grid, 2, 2)];
        offset += one[1]! ** 2 / GRIDS;
        turn += one[0]! ** 2 / GRIDS;
        neighbour += (one[1]! * other[1]!) / GRIDS;
        side += sideError(one) ** 2 / GRIDS;
      }
      // A crossing lies aside of its level strip by its falling and its rising lap over √3; the offset is the mean of two crossings that have no slant in common: σ²/12 for each of four laps,
      // or as often as the number of the lap when indexed (on line 2: two at each).
      const laps = way === "stop" ? 4 : 2 + 2 + 2 + 2;
      const variance = (place ** 2 / 12) * laps;
      // A variance from n normal numbers is good to √(2/n) of it: four of those.
      const width = 4 * Math.sqrt(2 / GRIDS);
      expect(Math.abs(offset / variance - 1)).toBeLessThan(width);
      expect(Math.abs(turn / ((4 * variance) / pitch ** 2) - 1)).toBeLessThan(width);
      expect(Math.abs(neighbour / -variance - 1)).toBeLessThan(width);
      // The side grows by 1/√3 of the sum of what its three corners move outwards.
      expect(Math.abs(side / sideVariance(way, place) - 1)).toBeLessThan(width);
      // The negative control: the other way of placing laps.
      expect(Math.abs(side / sideVariance(way === "stop" ? "indexed" : "stop", place) - 1)).toBeGreaterThan(
        width,
      );
    }
  });

  it("open their cell by what geometry says of three lines that move", () => {
    const [a, b, c] = [0.02, -0.05, 0.07];
    const walls = new Float64Array([0, a, 0, b, 0, c]);
    // Lines n·x = −r + offset about the centre: the triangle between them is the old one with the radius r less the mean of the offsets.
    const radius = JOB.opening / (2 * ROOT);
    const smaller = radius - (a + b + c) / 3;
    expect(sideError(walls)).toBeCloseTo(smaller * 2 * ROOT - JOB.opening, 12);
    toTriangleAxes(walls);
    expect(walls[1]).toBeCloseTo((a + b + c) / 3, 12);
    expect(sideError(walls)).toBeCloseTo(smaller * 2 * ROOT - JOB.opening, 12);
  });

  it("may be counted from the middle of the cell: gaps stay what they are", () => {
    const grid = new ThreeWayErrors(shape);
    grid.draw(createStream(5), { ...PERFECT_GRID, place: 0.05, thickness: 0.02 }, 0);
    const out = wallsOf(grid, 1, 2);
    const own = out.slice();
    toTriangleAxes(own);
    expect(own).not.toEqual(out);
    const gapsOf = (numbers: Float64Array) => {
      const cell = jobCell(JOB);
      const errors = noErrors(cell);
      const { indexOf } = errorLayout(cell);
      for (const [w, wall] of shape.walls.entries()) {
        errors[indexOf("turn", wall)] = numbers[2 * w]!;
        errors[indexOf("offset", wall)] = numbers[2 * w + 1]!;
      }
      return solveEquilibrium(cellModel(cell), errors, { order: "first" }).rest.gap;
    };
    const [before, after] = [gapsOf(out), gapsOf(own)];
    for (const [i, gap] of before.entries()) expect(after[i]).toBeCloseTo(gap, 9);
  });

  it("follow a level border member that turns about its middle, and no other wall does", () => {
    const grid = new ThreeWayErrors(shape);
    grid.borderTurn[BORDER.top] = 0.001;
    grid.borderTurn[BORDER.bottom] = 0.002;
    grid.borderTurn[BORDER.left] = 1;
    // Counter-clockwise, the right end of the upper member goes up, out of the openings: row 0, column 4 lies two half pitches to the right of the middle.
    expect(wallsOf(grid, 0, 4)[1]).toBeCloseTo(-0.001 * pitch, 12);
    expect(wallsOf(grid, 0, 0)[1]).toBeCloseTo(0.001 * pitch, 12);
    expect(wallsOf(grid, 0, 2)[0]).toBe(0.001);
    // Row 3 stands on the lower member in its even columns (0 first).
    expect(pointsUp(3, 4)).toBe(true);
    expect(wallsOf(grid, 3, 4)[1]).toBeCloseTo(0.002 * pitch, 12);
    expect(wallsOf(grid, 1, 0).every((number) => number === 0)).toBe(true);
  });
});

/** Variance of the opening's side of the cell in row 1, column 2 of 4 × 5, by its three corners (line, half pitch) (2, 2), (2, 4) and (1, 3), their laps counted by hand. */
function sideVariance(way: "stop" | "indexed", place: number): number {
  // Outward from the middle: to the lower left, to the lower right, upwards.
  const out = [
    { x: -ROOT / 2, y: -0.5 },
    { x: ROOT / 2, y: -0.5 },
    { x: 0, y: 1 },
  ];
  const along = [
    { x: 1, y: 0 },
    { x: 0.5, y: -ROOT / 2 },
    { x: -0.5, y: -ROOT / 2 },
  ];
  // Of each corner the number of its lap along the level, the falling and the rising strip; (2, 2) and (2, 4) share the level one, (1, 3) and (2, 4) the falling, (1, 3) and (2, 2) the rising.
  const laps = [
    [1, 2, 2],
    [2, 2, 2],
    [2, 1, 1],
  ];
  const shared = (a: number, b: number, family: number): boolean =>
    a === b || [a, b].sort().join() === ["0,1", "1,2", "0,2"][family];
  let sum = 0;
  for (let a = 0; a < 3; a++)
    for (let b = 0; b < 3; b++)
      for (let k = 0; k < 3; k++) {
        if (!shared(a, b, k)) continue;
        const [one, other] = [laps[a]![k]!, laps[b]![k]!];
        const covariance = way === "indexed" ? Math.min(one, other) : one === other && a === b ? 1 : 0;
        sum += (4 / 9) * covariance * dot(out[a]!, along[k]!) * dot(out[b]!, along[k]!);
      }
  return (place ** 2 * sum) / 3;
}
