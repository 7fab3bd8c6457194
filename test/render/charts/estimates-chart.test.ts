import { describe, expect, it } from "vitest";
import { type EstimateRow, estimatesChart } from "../../../src/render/charts/estimates-chart.js";
import { PALETTE } from "../../../src/render/style.js";
import { axisTitlesOf, panelsOf, rowsWith, wordsOf } from "./charts-of.js";

const DEGREE = Math.PI / 180;
const ROWS: readonly EstimateRow[] = [
  {
    ...{ name: "ramp of jig 45", unit: "deg", axis: "Sharper (+) or blunter (−)", estimate: 0.21 * DEGREE },
    ...{ low: 0.12 * DEGREE, high: 0.3 * DEGREE, priorLow: -0.6 * DEGREE, priorHigh: 0.6 * DEGREE },
  },
  {
    ...{
      name: "stop of hinge.mitre",
      unit: "mm",
      axis: "Long (+) or short (−)",
      estimate: -0.082,
      low: -0.11,
      high: -0.05,
    },
    ...{ priorLow: -0.2, priorHigh: 0.2 },
  },
  {
    ...{
      name: "batch thickness",
      unit: "mm",
      axis: "Thick (+) or thin (−)",
      estimate: 0.01,
      low: -0.02,
      high: 0.04,
    },
    ...{ priorLow: null, priorHigh: null },
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
    expect(wordsOf(chart)).toContain("−0.082 mm (−0.110 to −0.050)");
    expect(wordsOf(chart)).toContain("+0.210° (+0.120 to +0.300)");
  });

  it("draws priors behind in grey, and none where nothing was believed", () => {
    const priors = panelsOf(chart)[2]!.layer.filter(({ mark }) => mark.fill === PALETTE.earlierPale);
    expect(priors.flatMap(({ data }) => data.values).map(({ x, x2 }) => [x, x2])).toEqual([[-0.2, 0.2]]);
    const layers = panelsOf(chart)[2]!.layer;
    expect(layers.indexOf(priors[0]!)).toBeLessThan(layers.findIndex(({ mark }) => mark.shape === "diamond"));
    expect(wordsOf(estimatesChart(ROWS.slice(2)))).not.toContain("believed before, 95 %");
  });

  it("marks zero on every panel", () => {
    const zero = panelsOf(chart)
      .slice(1)
      .map(({ layer }) =>
        layer.some(
          ({ mark, data }) => mark.type === "rule" && data.values[0]?.x === 0 && data.values[0].x2 === 0,
        ),
      );
    expect(zero).toEqual([true, true, true]);
  });

  it("cuts a very wide prior off with arrows so that the estimate stays readable", () => {
    const wide = estimatesChart([{ ...ROWS[1]!, priorLow: -50, priorHigh: 50 }]);
    const [low, high] = (
      panelsOf(wide)[1]!.layer.find(({ encoding }) => encoding.x?.axis)!.encoding.x as unknown as {
        scale: { domain: [number, number] };
      }
    ).scale.domain;
    expect(high - low).toBeLessThan(0.65);
    expect(rowsWith(wide, "fill", PALETTE.earlier, "point")).toHaveLength(2);
    expect(rowsWith(chart, "fill", PALETTE.earlier, "point")).toHaveLength(0);
  });

  it("refuses what cannot be drawn", () => {
    expect(() => estimatesChart([])).toThrow(/no estimates/);
    expect(() => estimatesChart([{ ...ROWS[0]!, estimate: Number.NaN }])).toThrow(
      /estimate of ramp of jig 45/,
    );
    expect(() => estimatesChart([{ ...ROWS[0]!, priorLow: 1, priorHigh: -1 }])).toThrow(/earlier interval/);
  });
});
