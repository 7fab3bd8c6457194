import { describe, expect, it } from "vitest";
import { panelMap } from "../../../src/features/panel/panel-map.js";
import { PALETTE } from "../../../src/render/style.js";
import { elementsWith, numbersOf, writtenIn } from "../../render/svg-elements.js";

const label = (value: number): string => value.toFixed(1);
const MAP = { rows: 2, columns: 3, values: [1, 2, 3, 4, 0, 2], label, what: "figure" };

/** Sides of the squares with one fill. */
const sides = (fill: string, map = MAP) =>
  elementsWith(panelMap(map), "rect", "fill", fill).map((square) => numbersOf(square).width!);

describe("a panel's map", () => {
  it("shows each figure by area and by shade, and writes it", () => {
    const chart = panelMap(MAP);
    for (const value of [1, 2, 3, 4, 0]) expect(writtenIn(chart)).toContain(label(value));
    const [largest] = sides(PALETTE.computed);
    // A quarter of the largest has half its side.
    expect(sides("#A9C8E2")[0]! / largest!).toBeCloseTo(0.5, 2);
  });

  it("rings the largest and tells where it is, rows from the top", () => {
    const chart = panelMap(MAP);
    const ring = numbersOf(elementsWith(chart, "rect", "stroke", PALETTE.attention)[0]!);
    expect(chart.description).toContain("largest in row 2, column 1");
    // Below and left of the middle.
    expect(ring.x).toBeLessThan(60);
    expect(ring.y).toBeGreaterThan(60);
  });

  it("leaves out labels that would not fit, not their cells", () => {
    const many = { ...MAP, rows: 30, columns: 40, values: Array.from({ length: 1200 }, (_, k) => k + 1) };
    const words = writtenIn(panelMap(many));
    expect(words).not.toContain("600.0");
    expect(words).toContain("40");
    expect(sides(PALETTE.computed, many).length).toBeGreaterThan(200);
  });

  it.each([
    [{ values: [1, 2] }, /2 × 3 cells; it was given 2/],
    [{ values: [1, 2, 3, 4, -1, 2] }, /0 or more; cell 5 has -1/],
    [{ values: [1, 2, 3, 4, Number.NaN, 2] }, /cell 5.*NaN/],
  ])("refuses %j", (change, message) => {
    expect(() => panelMap({ ...MAP, ...change })).toThrow(message);
  });

  it("says in words what is the same in every cell", () => {
    const map = { rows: 2, columns: 2, label: (value: number) => value.toFixed(2), what: "chance" };
    const alike = panelMap({ ...map, values: [0.811, 0.812, 0.813, 0.814] });
    expect(writtenIn(alike).join(" ")).toContain("All 4 cells are alike: chance, 0.81.");
    expect(elementsWith(alike, "rect", "fill", PALETTE.wood)).toEqual([]);
    const differing = panelMap({ ...map, values: [0.811, 0.812, 0.813, 0.83] });
    expect(writtenIn(differing).join(" ")).not.toContain("alike");
  });
});
