import { describe, expect, it } from "vitest";
import { ARROW_LEFT, ARROW_RIGHT } from "../../../src/render/charts/axes.js";
import { readingsChart } from "../../../src/render/charts/readings-chart.js";
import { axisTitlesOf, panelsOf, rowsWith, wordsOf } from "./charts-of.js";
import { READINGS } from "./samples.js";

const chart = readingsChart(READINGS);

describe("the chart of readings", () => {
  it("has a panel for angles and one for lengths, each with its unit", () => {
    expect(axisTitlesOf(chart)).toEqual(["Angle, from nominal (°)", "Gap, or length from nominal (mm)"]);
  });

  it("draws each value where it was read, in the unit shown", () => {
    expect(rowsWith(chart, "shape", "circle").map(({ x }) => x)).toContain(0.3);
    const minutes = readingsChart(
      READINGS.map((row) => (row.unit === "deg" ? { ...row, unit: "arcmin" } : row)),
    );
    expect(rowsWith(minutes, "shape", "circle").map(({ x }) => x)).toContain(18);
    const inches = readingsChart(READINGS.map((row) => (row.unit === "mm" ? { ...row, unit: "in" } : row)));
    expect(axisTitlesOf(inches)[1]).toBe("Gap, or length from nominal (in)");
    const predictions = panelsOf(inches)[2]!.layer.filter(({ mark }) => mark.shape === "diamond");
    expect(predictions[0]!.data.values.map(({ x }) => x)).toEqual(
      [0.03, 0.12, 0.22].map((mm) => Number((mm / 25.4).toPrecision(6))),
    );
  });

  it("gives an open end an arrow and no closing stroke", () => {
    const gaps = panelsOf(chart)[2]!;
    const left = gaps.layer.filter(({ mark }) => mark.shape === ARROW_LEFT);
    const right = gaps.layer.filter(({ mark }) => mark.shape === ARROW_RIGHT);
    expect(left.flatMap(({ data }) => data.values)).toHaveLength(1);
    expect(right.flatMap(({ data }) => data.values)).toHaveLength(1);
    const strokes = gaps.layer.find(({ mark }) => mark.type === "rule" && mark.color === "#2A2724")!;
    // Three intervals have six ends, two of them open.
    expect(strokes.data.values.map(({ x }) => x)).toEqual([0.05, 0.1, 0.15, 0.2]);
    expect(wordsOf(chart)).toContain("no limit this way");
    expect(wordsOf(readingsChart(READINGS.slice(0, 2)))).not.toContain("no limit this way");
  });

  it("marks what stands out by a symbol and in words", () => {
    expect(wordsOf(chart).filter((text) => text === "stands out")).toHaveLength(2);
    expect(chart.description).toContain("Standing out: a2.");
    const clean = readingsChart(READINGS.map((row) => ({ ...row, outlier: false })));
    expect(wordsOf(clean)).not.toContain("stands out");
    expect(clean.description).toContain("None stands out.");
  });

  it("names every reading and every group once", () => {
    for (const text of ["bevel 1", "hinge mitre, heel", "widest of all", "Angle gauge", "Feeler leaves"])
      expect(wordsOf(chart).filter((word) => word === text)).toHaveLength(1);
  });

  it("refuses what cannot be drawn", () => {
    const [row] = READINGS;
    expect(() => readingsChart([])).toThrow(/no readings to draw.*at least one.*given 0/);
    expect(() => readingsChart([{ ...row!, low: 1, high: 0 }])).toThrow(/interval of reading a1.*1 and 0/);
    expect(() => readingsChart([{ ...row!, value: Number.NaN }])).toThrow(/value of reading a1.*NaN/);
    const open = { low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY, value: null };
    expect(() => readingsChart([{ ...row!, ...open }])).toThrow(/a1 says nothing/);
    expect(() => readingsChart(READINGS, { width: 200 })).toThrow(/at least 300 px; it is 200/);
  });
});
