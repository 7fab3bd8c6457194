import { describe, expect, it } from "vitest";
import { budgetBars } from "../../../src/render/charts/budget-bars.js";
import { PALETTE } from "../../../src/render/style.js";
import { axisTitlesOf, rowsWith, wordsOf } from "./charts-of.js";

const SHARES = [
  { label: "ramp", value: 0.25 },
  { label: "cut-to-cut length", value: 0.65 },
  { label: "stop", value: 0.1 },
];

describe("the bars of a budget", () => {
  const chart = budgetBars(SHARES, { unit: "share", axisTitle: "Share of the variance" });

  it("stand largest first, whatever the order given", () => {
    expect(rowsWith(chart, "fill", PALETTE.computed, "rect").map(({ x2 }) => x2)).toEqual([65, 25, 10]);
    expect(chart.description).toMatch(/cut-to-cut length 65 %; ramp 25 %; stop 10 %/);
  });

  it("carry names, figures and a unit", () => {
    expect(axisTitlesOf(chart)).toEqual(["Share of the variance (%)"]);
    expect(wordsOf(chart)).toEqual(["cut-to-cut length", "ramp", "stop", "65 %", "25 %", "10 %"]);
    const inches = budgetBars([{ label: "stop", value: 0.0254 }], { unit: "thou" });
    expect(axisTitlesOf(inches)).toEqual(["Part in the uncertainty (thou)"]);
    expect(rowsWith(inches, "fill", PALETTE.computed, "rect")[0]!.x2).toBe(1);
  });

  it("show a part that takes away as an empty bar to the left", () => {
    const chart = budgetBars([...SHARES, { label: "both", value: -0.05 }], { unit: "share" });
    expect(rowsWith(chart, "fill", PALETTE.paper, "rect").map(({ x2 }) => x2)).toEqual([-5]);
    expect(wordsOf(chart)).toContain("−5.0 %");
  });

  it("add the small ones up when there are many, and only shares", () => {
    const many = Array.from({ length: 20 }, (_, i) => ({ label: `s${i}`, value: 0.05 }));
    const chart = budgetBars(many, { unit: "share", most: 5 });
    expect(rowsWith(chart, "fill", PALETTE.computed, "rect").map(({ x2 }) => x2)).toEqual([5, 5, 5, 5, 80]);
    expect(wordsOf(chart)).toContain("16 others together");
    expect(() => budgetBars(many, { unit: "mm", most: 5 })).toThrow(/only shares add up.*mm.*5/);
  });

  it("refuse what cannot be drawn", () => {
    expect(() => budgetBars([], { unit: "mm" })).toThrow(/no contributions/);
    expect(() => budgetBars([{ label: "ramp", value: Number.NaN }], { unit: "mm" })).toThrow(/ramp.*NaN/);
  });
});
