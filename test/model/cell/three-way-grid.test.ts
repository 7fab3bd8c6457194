import { describe, expect, it } from "vitest";
import { atBorder, gridStrips, pointsUp, threeWayGrid } from "../../../src/model/cell/three-way-grid.js";

const [SIDE, STRIP] = [60, 4];
const ROOT = Math.sqrt(3);
const SIZES = [
  [1, 1],
  [1, 2],
  [2, 3],
  [3, 4],
  [4, 3],
  [5, 8],
  [7, 2],
] as const;

interface Line {
  readonly slope: "level" | "falling" | "rising";
  /** Where it meets y = 0, or the y of a level one. */
  readonly at: number;
}

/** By school geometry, from the openings' inradius alone: every middle line of the pattern that runs through the clear rectangle, y downwards from the first line. */
function middleLines(rows: number, columns: number): { lines: Line[]; width: number; band: number } {
  // The circle within an opening has the radius side/(2√3); half a strip beyond it lie the middle lines of a triangle of its own.
  const radius = SIDE / (2 * ROOT) + STRIP / 2;
  const [band, pitch] = [3 * radius, 2 * ROOT * radius];
  const width = ((columns + 1) * pitch) / 2;
  const lines: Line[] = [];
  for (let i = 1; i < rows; i++) lines.push({ slope: "level", at: i * band });
  for (let k = -rows; k <= rows + columns + 1; k++) {
    lines.push({ slope: "falling", at: k * pitch });
    lines.push({ slope: "rising", at: k * pitch });
  }
  return { lines, width, band };
}

/** The part of a slant within the clear rectangle, by the heights at which it enters and leaves; `null` for none. */
function within(line: Line, rows: number, columns: number): [number, number] | null {
  const { width, band } = middleLines(rows, columns);
  const sign = line.slope === "falling" ? 1 : -1;
  // x = at + sign·y/√3 between 0 and the width.
  const heights = [(0 - line.at) * sign * ROOT, (width - line.at) * sign * ROOT].sort((a, b) => a - b);
  const top = Math.max(heights[0]!, STRIP / 2);
  const bottom = Math.min(heights[1]!, rows * band - STRIP / 2);
  return bottom - top > 1e-6 ? [top, bottom] : null;
}

describe("a three-way grid", () => {
  it("leaves openings with the side asked for", () => {
    const { pitch, band } = threeWayGrid(2, 3, SIDE, STRIP);
    const { band: expected } = middleLines(2, 3);
    expect(band).toBeCloseTo(expected, 12);
    expect(pitch).toBeCloseTo(SIDE + ROOT * STRIP, 12);
    // A triangle of middle lines less half a strip on each side: its circle is smaller by half a strip.
    expect((pitch / (2 * ROOT) - STRIP / 2) * 2 * ROOT).toBeCloseTo(SIDE, 12);
  });

  it.each(SIZES)(
    "of %i rows and %i columns has the strips that geometry finds between the borders",
    (rows, columns) => {
      const grid = threeWayGrid(rows, columns, SIDE, STRIP);
      const { lines, width, band } = middleLines(rows, columns);
      expect(grid.clear.width).toBeCloseTo(width, 9);
      expect(grid.clear.height).toBeCloseTo(rows * band - STRIP, 9);
      const strips = gridStrips(grid);
      for (const slope of ["falling", "rising"] as const) {
        const expected = lines
          .filter((line) => line.slope === slope)
          .flatMap((line) => {
            const found = within(line, rows, columns);
            if (!found) return [];
            const [top, bottom] = found;
            // Crossings with level middle lines strictly within; those at the border are held by the border.
            const laps = Array.from({ length: rows - 1 }, (_, i) => (i + 1) * band)
              .filter((y) => y > top + STRIP && y < bottom - STRIP)
              .map((y) => ((y - top) * 2) / ROOT);
            return [{ middle: ((bottom - top) * 2) / ROOT, laps }];
          })
          .sort((a, b) => b.middle - a.middle);
        const own = strips
          .filter(({ family }) => family === slope)
          .flatMap(({ count, middle, laps }) => Array.from({ length: count }, () => ({ middle, laps })))
          .sort((a, b) => b.middle - a.middle);
        expect(own).toHaveLength(expected.length);
        for (const [k, { middle }] of expected.entries()) expect(own[k]!.middle).toBeCloseTo(middle, 6);
        const number = (sum: number, { laps }: { laps: readonly number[] }): number => sum + laps.length;
        expect(own.reduce(number, 0)).toBe(expected.reduce(number, 0));
      }
      const level = strips.filter(({ family }) => family === "level");
      expect(level.reduce((sum, { count }) => sum + count, 0)).toBe(rows - 1);
      for (const { middle, laps } of level) {
        expect(middle).toBeCloseTo(width, 9);
        for (const [k, lap] of laps.slice(1).entries()) expect(lap - laps[k]!).toBeCloseTo(grid.pitch, 9);
      }
    },
  );

  it("has strips whose tips reach as far as their edges do", () => {
    // One falling strip of a 2 × 3 panel from corner to corner, its four corners put up one by one.
    const strip = gridStrips(threeWayGrid(2, 3, SIDE, STRIP)).find(({ family }) => family === "falling")!;
    const { band } = middleLines(2, 3);
    const along = (x: number, y: number): number => x / 2 + (y * ROOT) / 2;
    const edge = (side: number, y: number): number => {
      // A point of an edge, half a strip aside of the middle line x = y/√3.
      const x = y / ROOT + (side * STRIP) / ROOT;
      return along(x, y);
    };
    const ends = [STRIP / 2, 2 * band - STRIP / 2].flatMap((y) => [edge(1, y), edge(-1, y)]);
    expect(strip.tips).toBeCloseTo(Math.max(...ends) - Math.min(...ends), 9);
    expect(strip.laps[0]).toBeCloseTo((band * 2) / ROOT - Math.min(...ends), 9);
  });

  it.each(SIZES)(
    "of %i rows and %i columns has a crossing at each corner of every whole cell, and three strips in all that no border holds",
    (rows, columns) => {
      const grid = threeWayGrid(rows, columns, SIDE, STRIP);
      const key = (line: number, half: number): string => `${line} ${half}`;
      const through = new Map<string, number>();
      for (const { crossings } of grid.lines)
        for (const { line, half } of crossings)
          through.set(key(line, half), (through.get(key(line, half)) ?? 0) + 1);
      for (let row = 0; row < rows; row++)
        for (let column = 0; column < columns; column++) {
          const [base, tip] = pointsUp(row, column) ? [row + 1, row] : [row, row + 1];
          const corners = [
            { line: base, half: column },
            { line: base, half: column + 2 },
            { line: tip, half: column + 1 },
          ];
          for (const corner of corners) {
            expect(through.has(key(corner.line, corner.half))).toBe(true);
            if (!atBorder(grid, corner)) expect(through.get(key(corner.line, corner.half))).toBe(3);
          }
        }
      expect(grid.halves).toBe(2 * rows);
    },
  );
});
