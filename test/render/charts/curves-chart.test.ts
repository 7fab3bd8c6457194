import { describe, expect, it } from "vitest";
import { roundTicks } from "../../../src/render/charts/axes.js";
import { type Curve, curvesChart, MOST_CURVES } from "../../../src/render/charts/curves-chart.js";
import { axisTitlesOf, layersOf, panelsOf, wordsOf } from "./charts-of.js";

const DEGREE = Math.PI / 180;
const OPTIONS = {
  title: "Gap over angle",
  x: { title: "Angle error", unit: "deg" },
  y: { title: "Gap", unit: "mm" },
} as const;
const line: Curve = {
  name: "first order",
  points: [-1, 0, 1].map((degrees) => ({ x: degrees * DEGREE, y: Math.abs(degrees) * 0.04 })),
};
const dots: Curve = { ...line, name: "exact", as: "dots" };

describe("the chart of curves", () => {
  const chart = curvesChart([line, dots], OPTIONS);

  it("names both axes with their units, and the curves in a legend", () => {
    expect(axisTitlesOf(chart)).toContain("Angle error (°)");
    expect(wordsOf(chart)).toContain("Gap (mm)");
    expect(wordsOf(chart)).toEqual(expect.arrayContaining(["first order", "exact"]));
  });

  it("places a line's points in the units shown, larger values higher", () => {
    const [drawn] = layersOf(chart).filter(({ mark, encoding }) => mark.type === "line" && encoding.order);
    const rows = drawn!.data.values as { x: number; y: number }[];
    expect(rows.map(({ x }) => x)).toEqual([-1, 0, 1]);
    expect(rows[0]!.y).toBe(rows[2]!.y);
    expect(rows[1]!.y).toBeGreaterThan(rows[0]!.y);
    // The tick that stands for 0.02 mm lies half way.
    const words = layersOf(chart).flatMap(({ data }) => data.values);
    const tick = words.find(({ text }) => text === "0.02")!;
    expect(Number(tick.y) - 4).toBeCloseTo((rows[0]!.y + rows[1]!.y) / 2, 1);
  });

  it("tells curves apart by dash or shape, not by colour alone", () => {
    const five = Array.from({ length: MOST_CURVES }, (_, i) => ({ ...line, name: `c${i}` }));
    const dashes = layersOf(curvesChart(five, OPTIONS))
      .filter(({ mark, encoding }) => mark.type === "line" && encoding.order)
      .map(({ mark }) => JSON.stringify(mark.strokeDash));
    expect(new Set(dashes).size).toBe(MOST_CURVES);
  });

  it("says in words where the curves go", () => {
    expect(chart.description).toContain(
      "first order: from 0.040 mm at −1.00° to 0.040 mm at 1.00°, within 0.000 mm to 0.040 mm",
    );
  });

  it("keeps its axes under one another at every width", () => {
    for (const width of [300, 720]) {
      const panels = panelsOf(curvesChart([line], { ...OPTIONS, width }));
      expect(new Set(panels.map((panel) => panel.width))).toEqual(new Set([width - 24]));
    }
  });

  it("refuses what cannot be drawn or told apart", () => {
    expect(() => curvesChart([], OPTIONS)).toThrow(/no curves/);
    expect(() => curvesChart([{ name: "a", points: [] }], OPTIONS)).toThrow(/no points of a/);
    expect(() => curvesChart([{ name: "a", points: [{ x: 0, y: Number.NaN }] }], OPTIONS)).toThrow(
      /value of a/,
    );
    expect(() =>
      curvesChart(
        Array.from({ length: MOST_CURVES + 1 }, () => line),
        OPTIONS,
      ),
    ).toThrow(/at most 5/);
  });
});

describe("round ticks", () => {
  it.each([
    [0, 1, [0, 0.5, 1]],
    [-0.03, 0.11, [0, 0.05, 0.1]],
    [0, 40, [0, 10, 20, 30, 40]],
    [2, 2, [2]],
  ])("between %f and %f", (low, high, wanted) => {
    expect(roundTicks(low, high)).toEqual(wanted);
  });
});
