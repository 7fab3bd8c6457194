import { describe, expect, it } from "vitest";
import { chartLabels } from "../../../src/render/charts/chart-spec.js";
import { specToSvg } from "../../../src/render/charts/draw-chart.js";
import { runChart } from "../../../src/render/charts/run-chart.js";
import { axisTitlesOf, layersOf, legendOf, rowLabelsOf, rowsOf, signsOf } from "./charts-of.js";

const rows = [44, 44.02, 43.98, 44.06, 44.03].map((value, i) => ({
  id: `h${i + 1}`,
  value,
  average: 44 + 0.005 * i,
}));
const input = {
  rows,
  target: 44,
  single: { lower: 43.95, upper: 44.05 },
  moving: { lower: 43.985, upper: 44.015 },
};
const spec = runChart(input, { unit: "mm" });

describe("the chart of a batch", () => {
  it("draws each piece once, in the order of cutting, the odd one with a sign of its own", () => {
    const pieces = [...rowsOf(spec, "piece"), ...rowsOf(spec, "piece beyond")];
    const inOrder = pieces.sort((a, b) => Number(a.order) - Number(b.order));
    expect(inOrder.map(({ value }) => value)).toEqual([44, 44.02, 43.98, 44.06, 44.03]);
    expect(rowsOf(spec, "piece beyond").map(({ id }) => id)).toEqual(["h4"]);
    const [piece, beyond] = signsOf(spec, "shape");
    expect(piece).not.toBe(beyond);
    expect(rowLabelsOf(spec)).toEqual(["h1", "h2", "h3", "h4", "h5"]);
  });

  it("has its limits as rules through all rows, and the average as one line", () => {
    const rules = layersOf(spec).filter(({ mark }) => mark.type === "rule");
    for (const { encoding } of rules) expect(encoding.y).toBeUndefined();
    const places = rules.flatMap(({ data }) => data.values.map(({ value }) => value));
    expect(places).toEqual([44, 43.95, 44.05, 43.985, 44.015]);
    const line = layersOf(spec).find(({ mark }) => mark.type === "line")!;
    expect(line.data.values.map(({ value }) => value)).toEqual(rows.map(({ average }) => average));
  });

  it("tells its lines apart by dash, not by colour alone", () => {
    expect(legendOf(spec)).toEqual([
      ...["piece", "piece beyond", "limits of pieces", "moving average", "its limits"],
    ]);
    expect(new Set(signsOf(spec, "strokeDash").slice(2).map(String)).size).toBe(3);
  });

  it("says in words what lies beyond", () => {
    expect(spec.description).toContain("Beyond their limits: h4.");
    expect(spec.description).toContain("The moving average leaves its ±0.015 mm at h5.");
    expect(axisTitlesOf(spec)).toEqual(["Length of the piece (mm)"]);
  });

  it.each([300, 390, 800])("fills its %d px without a warning", async (width) => {
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
