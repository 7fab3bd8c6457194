import { describe, expect, it } from "vitest";
import { readingsChart } from "../../../src/render/charts/readings-chart.js";
import { PALETTE } from "../../../src/render/style.js";
import { axisTitlesOf, legendOf, openEndsOf, panelsOf, rowLabelsOf, rowsOf, signsOf } from "./charts-of.js";
import { READINGS } from "./samples.js";

const chart = readingsChart(READINGS);

describe("the chart of readings", () => {
  it("has a panel for angles and one for lengths, each with its unit", () => {
    expect(axisTitlesOf(chart)).toEqual(["Angle, from nominal (°)", "Gap, or length from nominal (mm)"]);
  });

  it("draws each value where it was read, in the unit shown", () => {
    const places = (spec: ReturnType<typeof readingsChart>, meaning: string) =>
      rowsOf(spec, meaning).map(({ value }) => value);
    expect(places(chart, "reading")).toEqual([0.3]);
    const minutes = readingsChart(
      READINGS.map((row) => (row.unit === "deg" ? { ...row, unit: "arcmin" } : row)),
    );
    expect(places(minutes, "reading")).toEqual([18]);
    const inches = readingsChart(READINGS.map((row) => (row.unit === "mm" ? { ...row, unit: "in" } : row)));
    expect(axisTitlesOf(inches)[1]).toBe("Gap, or length from nominal (in)");
    expect(places(inches, "prediction").slice(2)).toEqual(
      [0.03, 0.12, 0.22].map((mm) => Number((mm / 25.4).toPrecision(6))),
    );
  });

  it("draws a prediction under its reading", () => {
    const [reading] = rowsOf(chart, "reading");
    const [prediction] = rowsOf(chart, "prediction");
    expect(reading!.id).toBe(prediction!.id);
    expect(Number(prediction!.line)).toBeGreaterThan(Number(reading!.line));
  });

  it("gives an open end a triangle that points outwards and no closing stroke", () => {
    const gaps = panelsOf(chart)[1]!;
    expect(openEndsOf(gaps)).toEqual(["low", "high"]);
    const strokes = gaps.layer.find(({ mark }) => mark.type === "tick" && mark.color === PALETTE.measured)!;
    // Three intervals have six ends, two of them open.
    expect(strokes.data.values.map(({ value }) => value)).toEqual([0.05, 0.1, 0.15, 0.2]);
    expect(legendOf(chart)).toContain("no limit this way");
    expect(legendOf(readingsChart(READINGS.slice(0, 2)))).not.toContain("no limit this way");
  });

  it("marks what stands out by a symbol and in words", () => {
    expect(rowsOf(chart, "stands out").map(({ id }) => id)).toEqual(["a2"]);
    expect(rowLabelsOf(chart)).toContain("bevel 2: stands out");
    expect(legendOf(chart)).toContain("stands out");
    expect(new Set(signsOf(chart, "shape")).size).toBe(legendOf(chart).length);
    expect(chart.description).toContain("Standing out: a2.");
    const clean = readingsChart(READINGS.map((row) => ({ ...row, outlier: false })));
    expect(legendOf(clean)).not.toContain("stands out");
    expect(clean.description).toContain("None stands out.");
  });

  it("names every reading and every group once", () => {
    for (const text of ["bevel 1", "hinge mitre, heel", "widest of all", "Angle gauge", "Feeler leaves"])
      expect(rowLabelsOf(chart).filter((label) => label === text)).toHaveLength(1);
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
