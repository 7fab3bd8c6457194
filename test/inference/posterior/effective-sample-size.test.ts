import { describe, expect, it } from "vitest";
import { effectiveSampleSize } from "../../../src/core/numeric/anneal.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";

const [WALKERS, ROUNDS] = [4000, 8];

/** Walkers whose rounds follow x′ = ρ·x + √(1 − ρ²)·noise from standard normal starts; row-major (round, walker). */
function autoregressive(correlation: number, seed: number): Float64Array {
  const stream = createStream(seed);
  const draws = new Float64Array(WALKERS * ROUNDS);
  for (let k = 0; k < draws.length; k++) {
    const noise = stream.normal();
    draws[k] =
      k < WALKERS ? noise : correlation * draws[k - WALKERS]! + Math.sqrt(1 - correlation ** 2) * noise;
  }
  return draws;
}

describe("the effective sample size of walkers' draws", () => {
  for (const correlation of [0, 0.5, 0.9, -0.4])
    it(`is W·R/(1 + 2·Σ(1 − k/R)·ρᵏ) at an autocorrelation of ${correlation}, and never more than the draws`, () => {
      let inflation = 1;
      for (let lag = 1; lag < ROUNDS; lag++) inflation += 2 * (1 - lag / ROUNDS) * correlation ** lag;
      const draws = autoregressive(correlation, 11);
      const found = effectiveSampleSize(draws.length, WALKERS, (k) => draws[k]!);
      const expected = Math.min(draws.length, draws.length / inflation);
      // The variance between W means is known to √(2/W): 2.2 %; four of them.
      expect(Math.abs(found / expected - 1)).toBeLessThan(0.09);
      expect(found).toBeLessThanOrEqual(draws.length);
    });

  it("is one a walker where none moves", () => {
    const starts = createStream(3).fill(new Float64Array(WALKERS));
    const found = effectiveSampleSize(WALKERS * ROUNDS, WALKERS, (k) => starts[k % WALKERS]!);
    expect(found / WALKERS).toBeCloseTo(1, 2);
  });
});
