import { describe, expect, it } from "vitest";
import { type Curve, curvesChart, MOST_CURVES } from "../../../src/render/charts/curves-chart.js";
import { axisTitlesOf, layersOf, legendOf, signsOf } from "./charts-of.js";

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
    expect(axisTitlesOf(chart)).toEqual(["Angle error (°)", "Gap (mm)"]);
    expect(legendOf(chart)).toEqual(["first order", "exact"]);
  });

  it("gives a line's points in the units shown, in their order", () => {
    const [drawn] = layersOf(chart).filter(({ mark }) => mark.type === "line");
    expect(drawn!.data.values).toEqual(
      [-1, 0, 1].map((x, order) => ({ meaning: "first order", order, x, y: 0.04 * Math.abs(x) })),
    );
    expect(drawn!.encoding.order).toMatchObject({ field: "order" });
    const dotted = layersOf(chart).find(({ mark }) => mark.type === "point");
    expect(dotted!.data.values.map(({ meaning }) => meaning)).toEqual(["exact", "exact", "exact"]);
  });

  it("marks zero on both axes where it is near, and holds every point", () => {
    const zeros = layersOf(chart).filter(
      ({ mark, data }) => mark.type === "rule" && data.values[0]!.value === 0,
    );
    expect(zeros).toHaveLength(2);
    const far = curvesChart(
      [
        {
          name: "far",
          points: [
            { x: 1, y: 100 },
            { x: 1.1, y: 101 },
          ],
        },
      ],
      OPTIONS,
    );
    expect(layersOf(far).filter(({ mark }) => mark.type === "rule")).toEqual([]);
    const [low, high] = layersOf(far)[0]!.encoding.y!.scale!.domain as number[];
    expect(low).toBeLessThan(100);
    expect(low).toBeGreaterThan(99);
    expect(high).toBeGreaterThan(101);
  });

  it("tells curves apart by dash or shape, not by colour alone", () => {
    const five = (as: "line" | "dots") =>
      curvesChart(
        Array.from({ length: MOST_CURVES }, (_, i) => ({ ...line, name: `c${i}`, as })),
        OPTIONS,
      );
    expect(new Set(signsOf(five("line"), "strokeDash").map(String)).size).toBe(MOST_CURVES);
    expect(new Set(signsOf(five("dots"), "shape")).size).toBe(MOST_CURVES);
  });

  it("says in words where the curves go", () => {
    expect(chart.description).toContain(
      "first order: from 0.040 mm at −1.00° to 0.040 mm at 1.00°, within 0.000 mm to 0.040 mm",
    );
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
