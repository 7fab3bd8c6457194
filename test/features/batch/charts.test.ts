import { describe, expect, it } from "vitest";
import { ewmaChart, individualsChart } from "../../../src/features/batch/control-charts.js";

// NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals) and 6.3.2.4 (EWMA).
const INDIVIDUALS = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
const EWMA_VALUES = [52, 47, 53, 49.3, 50.1, 47, 51, 50.1, 51.2, 50.5, ...INDIVIDUALS];
const EWMA_PRINTED = [
  50.6, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38,
  49.92, 50.73, 51.23, 51.94, 51.99,
];

describe("a chart of single pieces", () => {
  const chart = individualsChart(INDIVIDUALS);

  it("has the centre and mean range of the handbook's example", () => {
    expect(chart.centre).toBeCloseTo(50.81, 10);
    expect(chart.meanRange).toBeCloseTo(1.8778, 4);
    expect(chart.beyond).toEqual([]);
  });

  it("has its limits, but for the rounding of 1.128 there", () => {
    // Printed with d2 = 1.128: 55.8041 and 45.8159; with 2/√π recomputed: 55.80241 and 45.81759.
    expect(chart.upper).toBeCloseTo(55.80241, 5);
    expect(chart.lower).toBeCloseTo(45.81759, 5);
    const rounded = (2 / Math.sqrt(Math.PI) / 1.128) * (chart.upper - chart.centre);
    expect(chart.centre + rounded).toBeCloseTo(55.8041, 4);
    expect(chart.centre - rounded).toBeCloseTo(45.8159, 4);
    // 3.267·1.8778, the table's factor rounded from 3.2665.
    expect(Math.abs(chart.rangeUpper / 6.1347 - 1)).toBeLessThan(2e-4);
  });

  it("sees a piece far out and the jump to it", () => {
    const values = [...INDIVIDUALS, 60];
    const watched = individualsChart(values, 10);
    expect(watched.upper).toBe(chart.upper);
    expect(watched.beyond).toEqual([10]);
    expect(watched.jumps).toEqual([10]);
  });

  it("refuses a single piece", () => {
    expect(() => individualsChart([44.1])).toThrow(/two pieces at least.*the value was 1/);
  });
});

describe("a moving average", () => {
  const chart = ewmaChart(EWMA_VALUES, { target: 50, standardDeviation: 2.0539, weight: 0.3, width: 3 });

  it("is the handbook's example, value by value", () => {
    expect(chart.averages).toHaveLength(20);
    for (const [i, printed] of EWMA_PRINTED.entries())
      expect(Math.abs(chart.averages[i]! - printed)).toBeLessThanOrEqual(0.005 + 1e-9);
  });

  it("has its limits; the lower one is printed cut off, not rounded", () => {
    expect(chart.upper).toBeCloseTo(52.5884, 4);
    expect(chart.lower).toBeCloseTo(47.41157, 5);
    expect(Math.floor(chart.lower * 1e4) / 1e4).toBe(47.4115);
    expect(chart.beyond).toEqual([]);
  });

  it("finds a creep that no single piece shows", () => {
    // Pieces alternate by ±0.5 about a mean that creeps by 0.04 each.
    const values = Array.from({ length: 40 }, (_, i) => 0.04 * i + (i % 2 === 0 ? 0.5 : -0.5));
    const options = { target: 0, standardDeviation: 0.6, weight: 0.2, width: 2.86 };
    expect(ewmaChart(values, options).beyond.length).toBeGreaterThan(0);
    expect(individualsChart(values, 10).beyond.filter((i) => i < 20)).toEqual([]);
    expect(ewmaChart(values, options).beyond[0]!).toBeLessThan(30);
  });
});
