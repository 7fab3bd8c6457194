import { describe, expect, it } from "vitest";
import { residualsChart } from "../../../src/render/charts/residuals-chart.js";
import { axisTitlesOf, layersOf, legendOf, rowLabelsOf, signsOf } from "./charts-of.js";

const rows = [0.4, -2.5, 3.2, -9.4, 12].map((residual, i) => ({
  id: `r${i + 1}`,
  label: `joint ${i + 1}`,
  residual,
}));
const chart = residualsChart(rows);

describe("the chart of residuals", () => {
  it("has guides at ±2 and ±3 through all rows, of different lines", () => {
    const guide = (place: number) =>
      layersOf(chart).find(
        ({ mark, data, encoding }) =>
          mark.type === "rule" && !encoding.y && data.values.some(({ value }) => value === place),
      );
    for (const place of [-3, -2, 2, 3]) expect(guide(place), String(place)).toBeDefined();
    expect(guide(2)!.mark.strokeDash).not.toEqual(guide(3)!.mark.strokeDash);
  });

  it("says what the axis counts", () => {
    expect(axisTitlesOf(chart)).toEqual(["Reading minus prediction (standard deviations)"]);
  });

  it("draws each reading once, as a triangle at the end where it lies beyond the axis", () => {
    const points = layersOf(chart).filter(({ mark }) => mark.type === "point");
    expect(points).toHaveLength(1);
    const { data, encoding } = points[0]!;
    expect(data.values.map(({ value }) => value)).toEqual([0.4, -2.5, 3.2, -6.5, 6.5]);
    expect(data.values.map(({ residual }) => residual)).toEqual(rows.map(({ residual }) => residual));
    expect(data.values.map(({ meaning }) => meaning)).toEqual([
      ...["within ±2", "2 to 3", "beyond ±3", "below the axis", "above the axis"],
    ]);
    expect(encoding.x!.scale!.domain).toEqual([-6.5, 6.5]);
    expect(rowLabelsOf(chart)).toContain("r4: −9.4");
  });

  it("tells the meanings apart by shape or fill, not by colour alone", () => {
    const looks = signsOf(chart, "shape").map((shape, i) => `${shape} ${signsOf(chart, "fill")[i]}`);
    expect(new Set(looks).size).toBe(5);
    expect(legendOf(chart)).toEqual(["within ±2", "2 to 3", "beyond ±3"]);
  });

  it("names in words what lies beyond ±3", () => {
    expect(chart.description).toContain("r3, joint 3 (+3.2); r4, joint 4 (−9.4); r5, joint 5 (+12.0)");
    expect(residualsChart(rows.slice(0, 2)).description).toContain("No reading lies beyond ±3.");
  });

  it("refuses what cannot be drawn", () => {
    expect(() => residualsChart([])).toThrow(/no residuals/);
    expect(() => residualsChart([{ id: "r1", label: "x", residual: Number.NaN }])).toThrow(/reading r1.*NaN/);
  });
});
