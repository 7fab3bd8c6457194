import { describe, expect, it } from "vitest";
import { panelMap } from "../../../src/features/panel/panel-map.js";
import { PALETTE, RIM } from "../../../src/render/style.js";
import { cornersOf, elementsOf, elementsWith, numbersOf, writtenIn } from "../../render/svg-elements.js";

const label = (value: number): string => value.toFixed(1);
const MAP = { rows: 2, columns: 3, threeWay: true, values: [1, 2, 3, 4, 0, 2], label, what: "figure" };

/** Triangles drawn with one fill, by cell. */
const triangles = (fill: string, map = MAP): Map<number, ReturnType<typeof cornersOf>> =>
  new Map(
    elementsWith(panelMap(map), "polygon", "fill", fill).map((shape, i) => [
      Number(shape.attributes["data-cell"] ?? i),
      cornersOf(shape),
    ]),
  );

const area = ([a, b, c]: { x: number; y: number }[]): number =>
  Math.abs((b!.x - a!.x) * (c!.y - a!.y) - (c!.x - a!.x) * (b!.y - a!.y)) / 2;

describe("a three-way panel's map", () => {
  it("shows each figure by a triangle's area, and writes it", () => {
    for (const value of [1, 2, 3, 4, 0]) expect(writtenIn(panelMap(MAP))).toContain(label(value));
    const largest = triangles(PALETTE.computed).get(3)!;
    expect(area(triangles("#A9C8E2").get(0)!) / area(largest)).toBeCloseTo(0.25, 2);
  });

  it("has cells stand on their points and on their sides by turns, as the panel has them", () => {
    const cells = triangles(PALETTE.wood);
    expect(cells.size).toBe(6);
    for (const [cell, corners] of cells) {
      const heights = corners.map(({ y }) => y).sort((a, b) => a - b);
      const onPoint = heights[1]! - heights[0]! < heights[2]! - heights[1]!;
      expect(onPoint).toBe((Math.floor(cell / 3) + (cell % 3)) % 2 === 0);
    }
  });

  it("draws every strip, and the border whole at any width", () => {
    for (const width of [300, 360, 1200]) {
      const chart = panelMap(
        { ...MAP, columns: 30, rows: 1, values: Array.from({ length: 30 }, (_, i) => 1 + i) },
        { width },
      );
      const { x, width: wide } = numbersOf(elementsWith(chart, "rect", "stroke", PALETTE.woodEdge)[0]!);
      expect(x! + wide!).toBeLessThanOrEqual(width - 2 * RIM - 1);
    }
    const rules = elementsOf(panelMap(MAP), "line");
    // Two rows of three: the level strip between two border edges; a falling strip from each of two corners of the upper edge, and two rising ones.
    expect(rules).toHaveLength(3 + 2 + 2);
  });

  it("rings the largest, and says what the border cuts off", () => {
    const chart = panelMap(MAP);
    expect(elementsWith(chart, "polygon", "stroke", PALETTE.attention).map(cornersOf)).toHaveLength(1);
    expect(chart.description).toContain("largest in row 2, column 1");
    expect(writtenIn(chart).join(" ")).toContain("4 grey halves");
  });
});
