import { describe, expect, it } from "vitest";
import { type EstimateRow, estimatesChart } from "../../../src/render/charts/estimates-chart.js";
import { PALETTE } from "../../../src/render/style.js";
import { axisTitlesOf, legendOf, openEndsOf, panelsOf, rowLabelsOf } from "./charts-of.js";

const DEGREE = Math.PI / 180;
const ROWS: readonly EstimateRow[] = [
  {
    name: "ramp of jig 45",
    unit: "deg",
    axis: "Sharper (+) or blunter (−)",
    estimate: 0.21 * DEGREE,
    low: 0.12 * DEGREE,
    high: 0.3 * DEGREE,
    priorLow: -0.6 * DEGREE,
    priorHigh: 0.6 * DEGREE,
  },
  {
    name: "stop of hinge.mitre",
    unit: "mm",
    axis: "Long (+) or short (−)",
    estimate: -0.082,
    low: -0.11,
    high: -0.05,
    priorLow: -0.2,
    priorHigh: 0.2,
  },
  {
    name: "batch thickness",
    unit: "mm",
    axis: "Thick (+) or thin (−)",
    estimate: 0.01,
    low: -0.02,
    high: 0.04,
    priorLow: null,
    priorHigh: null,
  },
];
const chart = estimatesChart(ROWS);

describe("the chart of estimates", () => {
  it("has a panel for each meaning of the signs, its unit named", () => {
    expect(axisTitlesOf(chart)).toEqual([
      "Sharper (+) or blunter (−) (°)",
      "Long (+) or short (−) (mm)",
      "Thick (+) or thin (−) (mm)",
    ]);
  });

  it("writes each estimate with its interval, to two figures of half of it", () => {
    expect(rowLabelsOf(chart)).toContain("−0.082 mm (−0.110 to −0.050)");
    expect(rowLabelsOf(chart)).toContain("+0.210° (+0.120 to +0.300)");
  });

  it("draws priors behind in grey, and none where nothing was believed", () => {
    const layers = panelsOf(chart)[1]!.layer;
    const priors = layers.filter(({ mark }) => mark.color === PALETTE.earlierPale);
    expect(priors.flatMap(({ data }) => data.values).map(({ value, high }) => [value, high])).toEqual([
      [-0.2, 0.2],
    ]);
    const estimates = layers.findIndex(({ encoding }) => encoding.shape?.field === "meaning");
    expect(layers.indexOf(priors[0]!)).toBeLessThan(estimates);
    expect(layers[estimates]!.data.values.map(({ value }) => value)).toEqual([-0.082]);
    expect(legendOf(chart)).toEqual(["estimate, 95 % interval", "believed before, 95 %"]);
    expect(legendOf(estimatesChart(ROWS.slice(2)))).toEqual(["estimate, 95 % interval"]);
  });

  it("marks zero on every panel", () => {
    for (const width of [360, 720]) {
      const zero = panelsOf(estimatesChart(ROWS, { width })).map(({ layer }) =>
        layer.some(({ mark, data }) => mark.color === PALETTE.quiet && data.values[0]?.value === 0),
      );
      expect(zero).toEqual([true, true, true]);
    }
  });

  it("cuts a very wide prior off with arrows so that the estimate stays readable", () => {
    const wide = estimatesChart([{ ...ROWS[1]!, priorLow: -50, priorHigh: 50 }]);
    const [panel] = panelsOf(wide);
    const [low, high] = panel!.layer.find(({ encoding }) => encoding.x?.scale)!.encoding.x!.scale!.domain as [
      number,
      number,
    ];
    expect(high - low).toBeLessThan(0.65);
    expect(openEndsOf(panel!)).toEqual(["low", "high"]);
    expect(panelsOf(chart).flatMap(openEndsOf)).toEqual([]);
  });

  it("refuses what cannot be drawn", () => {
    expect(() => estimatesChart([])).toThrow(/no estimates/);
    expect(() => estimatesChart([{ ...ROWS[0]!, estimate: Number.NaN }])).toThrow(
      /estimate of ramp of jig 45/,
    );
    expect(() => estimatesChart([{ ...ROWS[0]!, priorLow: 1, priorHigh: -1 }])).toThrow(/earlier interval/);
  });
});
