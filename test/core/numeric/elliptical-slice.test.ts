import { describe, expect, it } from "vitest";
import { effectiveSampleSize } from "../../../src/core/numeric/anneal.js";
import { walkOf } from "./weighted-normal.js";

const WALKERS = 16;

/** First coordinates of all walkers after each round but the first fifty. */
function walked(logWeight: (point: Float64Array) => number, rounds: number, seed: number): number[] {
  const walk = walkOf(logWeight, seed, { walkers: WALKERS, length: 3 });
  const seen: number[] = [];
  for (let round = 0; round < rounds + 50; round++) {
    walk.round();
    if (round >= 50) seen.push(...walk.points.map((point) => point[0]!));
  }
  return seen;
}

function moments(values: readonly number[]) {
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  const variance = values.reduce((a, b) => a + (b - mean) ** 2, 0) / values.length;
  const size = effectiveSampleSize(values.length, { walkers: WALKERS }, (k) => values[k]!);
  return { mean, variance, error: Math.sqrt(variance / size) };
}

describe("a step on ellipses", () => {
  it("draws the normal density itself where the weight is flat, with one proposal a step", () => {
    const walk = walkOf(() => 0, 1, { walkers: WALKERS, length: 3 });
    for (let k = 0; k < 10; k++) walk.round();
    expect(walk.tries).toBe(10 * WALKERS);
    const { mean, variance } = moments(walked(() => 0, 1000, 2));
    expect(Math.abs(mean)).toBeLessThan(5 / Math.sqrt(16_000));
    expect(Math.abs(variance - 1)).toBeLessThan(5 * Math.sqrt(2 / 16_000));
  });

  it("has the mean and variance of a normal prior with a normal reading", () => {
    // Reading 1.5 of standard deviation 0.5: precision 5, mean 1.2.
    const { mean, variance, error } = moments(walked(([x = 0]) => -(((x - 1.5) / 0.5) ** 2) / 2, 4000, 3));
    expect(Math.abs(mean - 1.2)).toBeLessThan(5 * error);
    expect(variance / 0.2).toBeGreaterThan(0.9);
    expect(variance / 0.2).toBeLessThan(1.1);
  });

  it("stays where the weight is not zero: a half normal has mean √(2/π)", () => {
    const values = walked(([x = 0]) => (x > 0 ? 0 : Number.NEGATIVE_INFINITY), 4000, 4).filter(
      (_, k) => k >= 0,
    );
    const { mean, error } = moments(values);
    expect(Math.abs(mean - Math.sqrt(2 / Math.PI))).toBeLessThan(5 * error);
    expect(values.filter((x) => x < 0).length / values.length).toBeLessThan(0.01);
  });

  it("is nearer the normal density at a lower power of the weight", () => {
    const walk = walkOf(([x = 0]) => -50 * (x - 2) ** 2, 5, { walkers: 400, length: 1 });
    walk.power = 0.02;
    for (let k = 0; k < 60; k++) walk.round();
    // Precision 1 + 0.02·100 = 3, mean 2·2/3.
    const mean = walk.points.reduce((sum, [x = 0]) => sum + x / 400, 0);
    expect(Math.abs(mean - 4 / 3)).toBeLessThan(5 / Math.sqrt(3 * 400));
  });
});
