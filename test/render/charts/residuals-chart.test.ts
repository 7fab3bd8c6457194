import { describe, expect, it } from "vitest";
import { ARROW_LEFT, ARROW_RIGHT } from "../../../src/render/charts/axes.js";
import { residualsChart } from "../../../src/render/charts/residuals-chart.js";
import { axisTitlesOf, layersOf, panelsOf, wordsOf } from "./charts-of.js";

const rows = [0.4, -2.5, 3.2, -9.4, 12].map((residual, i) => ({
  id: `r${i + 1}`,
  label: `joint ${i + 1}`,
  residual,
}));
const chart = residualsChart(rows);

describe("the chart of residuals", () => {
  it("has guides at ±2 and ±3, of different lines", () => {
    const guide = (x: number) =>
      layersOf(chart).find(
        ({ mark, data }) => mark.type === "rule" && data.values.some((row) => row.x === x && row.x2 === x),
      );
    for (const x of [-3, -2, 2, 3]) expect(guide(x), String(x)).toBeDefined();
    expect(guide(2)!.mark.strokeDash).not.toEqual(guide(3)!.mark.strokeDash);
  });

  it("says what the axis counts", () => {
    expect(axisTitlesOf(chart)).toEqual(["Reading minus prediction (standard deviations)"]);
  });

  it("draws each reading once, an arrow where it lies beyond the axis", () => {
    const marks = panelsOf(chart)
      .at(-1)!
      .layer.filter(({ mark }) => mark.type === "point")
      .flatMap(({ mark, data }) => data.values.map(({ x }) => ({ shape: mark.shape, x })));
    expect(marks).toHaveLength(rows.length);
    expect(marks.map(({ x }) => x).sort()).toEqual([-2.5, -6.5, 0.4, 3.2, 6.5]);
    expect(marks.find(({ x }) => x === -6.5)!.shape).toBe(ARROW_LEFT);
    expect(marks.find(({ x }) => x === 6.5)!.shape).toBe(ARROW_RIGHT);
    expect(wordsOf(chart)).toContain("−9.4");
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
