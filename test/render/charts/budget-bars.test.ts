import { describe, expect, it } from "vitest";
import { budgetBars } from "../../../src/render/charts/budget-bars.js";
import type { ChartSpec } from "../../../src/render/charts/chart-spec.js";
import { PALETTE } from "../../../src/render/style.js";
import { axisTitlesOf, layersOf, rowLabelsOf } from "./charts-of.js";

const barsOf = (chart: ChartSpec) => layersOf(chart).find(({ mark }) => mark.type === "bar")!.data.values;

const SHARES = [
  { label: "ramp", value: 0.25 },
  { label: "cut-to-cut length", value: 0.65 },
  { label: "stop", value: 0.1 },
];

describe("the bars of a budget", () => {
  const chart = budgetBars(SHARES, { unit: "share", axisTitle: "Share of the variance" });

  it("stand largest first, whatever the order given", () => {
    expect(barsOf(chart).map(({ value }) => value)).toEqual([65, 25, 10]);
    expect(chart.description).toMatch(/cut-to-cut length 65 %; ramp 25 %; stop 10 %/);
  });

  it("carry names, figures and a unit", () => {
    expect(axisTitlesOf(chart)).toEqual(["Share of the variance (%)"]);
    expect(rowLabelsOf(chart)).toEqual(["cut-to-cut length: 65 %", "ramp: 25 %", "stop: 10 %"]);
    const inches = budgetBars([{ label: "stop", value: 0.0254 }], { unit: "thou" });
    expect(axisTitlesOf(inches)).toEqual(["Part in the uncertainty (thou)"]);
    expect(barsOf(inches)[0]!.value).toBe(1);
  });

  it("show a part that takes away as an empty bar to the left", () => {
    const chart = budgetBars([...SHARES, { label: "both", value: -0.05 }], { unit: "share" });
    expect(barsOf(chart).at(-1)).toMatchObject({ label: "both", value: -5 });
    const { fill } = layersOf(chart).find(({ mark }) => mark.type === "bar")!.encoding;
    expect(fill).toMatchObject({ condition: { test: "datum.value < 0", value: PALETTE.paper } });
    expect(rowLabelsOf(chart)).toContain("both: −5.0 %");
  });

  it("add the small ones up when there are many, and only shares", () => {
    const many = Array.from({ length: 20 }, (_, i) => ({ label: `s${i}`, value: 0.05 }));
    const chart = budgetBars(many, { unit: "share", most: 5 });
    expect(barsOf(chart).map(({ value }) => value)).toEqual([5, 5, 5, 5, 80]);
    expect(rowLabelsOf(chart)).toContain("16 others together: 80 %");
    expect(() => budgetBars(many, { unit: "mm", most: 5 })).toThrow(/only shares add up.*mm.*5/);
  });

  it("refuse what cannot be drawn", () => {
    expect(() => budgetBars([], { unit: "mm" })).toThrow(/no contributions/);
    expect(() => budgetBars([{ label: "ramp", value: Number.NaN }], { unit: "mm" })).toThrow(/ramp.*NaN/);
  });

  it("writes no sign before a zero", () => {
    const chart = budgetBars([...SHARES, { label: "both", value: -0.0002 }], { unit: "share" });
    expect(chart.description).toContain("both 0.0 %");
  });
});
