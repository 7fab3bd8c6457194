import { describe, expect, it } from "vitest";
import { chartLabels } from "../../../src/render/charts/chart-spec.js";
import { specToSvg } from "../../../src/render/charts/draw-chart.js";
import { runChart } from "../../../src/render/charts/run-chart.js";
import { axisTitlesOf, layersOf, panelsOf, wordsOf } from "./charts-of.js";

const rows = [44, 44.02, 43.98, 44.06, 44.03].map((value, i) => ({
  id: `h${i + 1}`,
  value,
  average: 44 + 0.005 * i,
}));
const input = {
  ...{ rows, target: 44 },
  single: { lower: 43.95, upper: 44.05 },
  moving: { lower: 43.985, upper: 44.015 },
};
const spec = runChart(input, { unit: "mm" });
const points = panelsOf(spec)
  .at(-1)!
  .layer.filter(({ mark }) => mark.type === "point");

describe("the chart of a batch", () => {
  it("draws each piece once, in the order of cutting, the odd one with a sign of its own", () => {
    const places = points.flatMap(({ data, mark }) =>
      data.values.map(({ x, y }) => ({ x, y, shape: mark.shape })),
    );
    const inOrder = places.sort((a, b) => Number(a.y) - Number(b.y));
    expect(inOrder.map(({ x }) => x)).toEqual([44, 44.02, 43.98, 44.06, 44.03]);
    expect(inOrder.map(({ shape }) => shape === inOrder[3]!.shape)).toEqual([
      false,
      false,
      false,
      true,
      false,
    ]);
  });

  it("has its limits as upright lines, and the average as one line", () => {
    const uprights = layersOf(spec)
      .filter(({ mark }) => mark.type === "rule")
      .flatMap(({ data }) => data.values.filter(({ x, x2 }) => x === x2).map(({ x }) => x));
    for (const limit of [44, 43.95, 44.05, 43.985, 44.015]) expect(uprights).toContain(limit);
    const line = layersOf(spec).find(({ mark }) => mark.type === "line")!;
    expect(line.data.values.map(({ x }) => x)).toEqual(rows.map(({ average }) => average));
  });

  it("says in words what lies beyond", () => {
    expect(spec.description).toContain("Beyond their limits: h4.");
    expect(spec.description).toContain("The moving average leaves its ±0.015 mm at h5.");
    expect(wordsOf(spec)).toContain("h3");
    expect(axisTitlesOf(spec)).toEqual(["Length of the piece (mm)"]);
  });

  it.each([300, 720])("fills its %d px without a warning", async (width) => {
    const chart = runChart(input, { unit: "in", width });
    const svg = await specToSvg(chart, chartLabels(chart));
    expect(Number(/<svg[^>]* width="(\d+)"/.exec(svg)![1])).toBe(width);
    expect(svg).not.toMatch(/NaN|undefined/);
  });

  it("refuses what cannot be drawn", () => {
    expect(() => runChart({ ...input, rows: [] }, { unit: "mm" })).toThrow(/no pieces/);
    expect(() => runChart(input, { unit: "deg" })).toThrow(/must be mm, in or thou/);
    expect(() => runChart({ ...input, target: Number.NaN }, { unit: "mm" })).toThrow(/NaN/);
  });
});
