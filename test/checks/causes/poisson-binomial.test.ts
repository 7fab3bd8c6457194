import { describe, expect, it } from "vitest";
import { calibrationBins, centralCounts, poissonBinomial } from "./study-figures.js";

describe("how many of several events happen", () => {
  it("is binomial when all are equally likely", () => {
    const mass = poissonBinomial(Array.from({ length: 6 }, () => 0.3));
    const choose = [1, 6, 15, 20, 15, 6, 1];
    for (const [k, ways] of choose.entries()) {
      expect(mass[k]).toBeCloseTo(ways * 0.3 ** k * 0.7 ** (6 - k), 14);
    }
  });

  it("is by enumeration for three unequal ones", () => {
    const [a, b, c] = [0.2, 0.5, 0.9] as const;
    const mass = poissonBinomial([a, b, c]);
    expect(mass[0]).toBeCloseTo((1 - a) * (1 - b) * (1 - c), 14);
    expect(mass[2]).toBeCloseTo(a * b * (1 - c) + a * (1 - b) * c + (1 - a) * b * c, 14);
    expect(mass[3]).toBeCloseTo(a * b * c, 14);
  });

  it("lies between the counts that leave less than the tail on either side", () => {
    const probabilities = Array.from({ length: 40 }, (_, i) => (i + 1) / 41);
    const mass = poissonBinomial(probabilities);
    const [low, high] = centralCounts(probabilities, 0.005);
    const sum = (from: number, to: number): number => mass.slice(from, to).reduce((p, q) => p + q, 0);
    expect(sum(0, low)).toBeLessThan(0.005);
    expect(sum(0, low + 1)).toBeGreaterThanOrEqual(0.005);
    expect(sum(high + 1, 41)).toBeLessThan(0.005);
    expect(sum(high, 41)).toBeGreaterThanOrEqual(0.005);
  });
});

describe("calibration bins", () => {
  const said = (n: number, yes: number) =>
    Array.from({ length: n }, (_, i) => ({ probability: 0.75, true: i < yes }));

  it("accept what is true as often as it is said, and no other share", () => {
    expect(calibrationBins(said(100, 76))).toMatchObject([{ from: 0.7, to: 0.8, true: 0.76, within: true }]);
    expect(calibrationBins(said(100, 60))[0]!.within).toBe(false);
    expect(calibrationBins(said(100, 90))[0]!.within).toBe(false);
  });
});
