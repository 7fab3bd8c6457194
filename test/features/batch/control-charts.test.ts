import { describe, expect, it } from "vitest";
import { normalSurvival } from "../../../src/core/numeric/normal.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import {
  ewmaChart,
  ewmaCreepLength,
  ewmaRunLength,
  ewmaSilence,
  ewmaWidth,
  individualsChart,
  individualsCreepLength,
  individualsRunLength,
} from "../../../src/features/batch/control-charts.js";
import { longIt } from "../../tools/longer.js";

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

describe("the run length of a chart of single pieces", () => {
  it("is the closed form 1/P(signal)", () => {
    // 3 standard deviations: 1/(2·0.0013499) = 370.4 in control.
    expect(individualsRunLength(0)).toBeCloseTo(1 / (2 * normalSurvival(3)), 9);
    expect(individualsRunLength(0)).toBeCloseTo(370.4, 1);
    expect(individualsRunLength(1)).toBeCloseTo(43.9, 1);
    expect(individualsRunLength(-3)).toBeCloseTo(individualsRunLength(3), 12);
  });
});

describe("the run length of an EWMA chart", () => {
  it("is that of single pieces for a weight of 1, and near it for a weight near 1", () => {
    expect(ewmaRunLength(1, 3, 1)).toBe(individualsRunLength(1));
    expect(ewmaRunLength(0.999, 3, 0) / individualsRunLength(0)).toBeCloseTo(1, 2);
  });

  // J. M. Lucas and M. S. Saccucci, Technometrics 32 (1990), from memory: run lengths at shifts of 0 and 1 standard deviation.
  it.each([
    [0.4, 3.054, 500, 14.3],
    [0.25, 2.998, 500, 11.1],
    [0.2, 2.962, 500, 10.5],
    [0.1, 2.814, 500, 10.3],
    [0.05, 2.615, 500, 11.4],
  ])("agrees with the tables at weight %f, width %f", (weight, width, inControl, shifted) => {
    expect(Math.abs(ewmaRunLength(weight, width, 0) / inControl - 1)).toBeLessThan(0.005);
    expect(Math.abs(ewmaRunLength(weight, width, 1) - shifted)).toBeLessThan(0.06);
  });

  longIt("comes out the same by a chain of bands, up to the width of the bands", () => {
    for (const shift of [0, 0.5, 2]) {
      const byChain = ewmaSilence(0.2, 2.5, () => shift).reduce((sum, chance) => sum + chance, 0);
      expect(Math.abs(byChain / ewmaRunLength(0.2, 2.5, shift) - 1)).toBeLessThan(0.01);
    }
  });

  it("comes out the same when pieces are drawn, and the drawing would see a wrong one", () => {
    const stream = createStream(5);
    const [weight, width, shift, runs] = [0.25, 2.4, 0.6, 4000];
    const half = width * Math.sqrt(weight / (2 - weight));
    const lengths = Array.from({ length: runs }, () => {
      let [average, pieces] = [0, 0];
      do {
        average = weight * (stream.normal() + shift) + (1 - weight) * average;
        pieces++;
      } while (Math.abs(average) <= half);
      return pieces;
    });
    const mean = lengths.reduce((a, b) => a + b, 0) / runs;
    const error = Math.sqrt(lengths.reduce((sum, n) => sum + (n - mean) ** 2, 0) / runs / runs);
    expect(Math.abs(mean - ewmaRunLength(weight, width, shift))).toBeLessThan(4 * error);
    expect(Math.abs(mean - ewmaRunLength(weight, width, shift + 0.1))).toBeGreaterThan(4 * error);
  });

  it("is found again from its width", () => {
    expect(ewmaRunLength(0.2, ewmaWidth(0.2, 370), 0)).toBeCloseTo(370, 4);
    expect(ewmaWidth(0.1, 500)).toBeCloseTo(2.814, 2);
  });

  it.each([
    [0, 3, /more than 0 and at most 1/],
    [1.1, 3, /more than 0 and at most 1/],
    [0.001, 3, /0\.01 at least/],
    [0.2, 0, /width must be more than 0/],
  ])("refuses weight %f and width %f", (weight, width, says) => {
    expect(() => ewmaRunLength(weight, width, 0)).toThrow(says);
  });
});

describe("a creeping stop", () => {
  it("is found sooner by the moving average than by single pieces", () => {
    const width = ewmaWidth(0.2, 370);
    for (const creep of [0.02, 0.05, 0.1])
      expect(ewmaCreepLength(0.2, width, creep)).toBeLessThan(individualsCreepLength(creep));
  });

  it("takes as long to find as when pieces are drawn", () => {
    const stream = createStream(8);
    const [creep, runs] = [0.1, 4000];
    const lengths = Array.from({ length: runs }, () => {
      let piece = 0;
      do piece++;
      while (Math.abs(stream.normal() + creep * piece) <= 3);
      return piece;
    });
    const mean = lengths.reduce((a, b) => a + b, 0) / runs;
    const error = Math.sqrt(lengths.reduce((sum, n) => sum + (n - mean) ** 2, 0) / runs / runs);
    expect(Math.abs(mean - individualsCreepLength(creep))).toBeLessThan(4 * error);
  });

  it("that does not creep is a chart in control", () => {
    expect(individualsCreepLength(0)).toBeCloseTo(individualsRunLength(0), 0);
  });
});
