import { describe, expect, it } from "vitest";
import { effectiveSampleSize } from "../../../src/core/numeric/anneal.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { walkOf } from "./weighted-normal.js";

const WALKERS = 1000;
const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;

function annealed(logWeight: (x: number) => number, seed: number): { first: number[]; stages: number } {
  const walk = walkOf((point) => logWeight(point[0]!), seed, { walkers: WALKERS, length: 2 });
  const stages = walk.anneal(3);
  return { first: walk.points.map((point) => point[0]!), stages };
}

describe("annealing", () => {
  it("ends in draws of the distribution: a normal prior with a sharp normal reading", () => {
    // Prior N(0, 1), reading 2 of standard deviation 0.02: precision 2501, mean 2·2500/2501.
    const { first, stages } = annealed((x) => -(((x - 2) / 0.02) ** 2) / 2, 1);
    const [centre, deviation] = [(2 * 2500) / 2501, 1 / Math.sqrt(2501)];
    expect(Math.abs(mean(first) - centre)).toBeLessThan((5 * deviation) / Math.sqrt(WALKERS));
    const variance = mean(first.map((x) => (x - centre) ** 2));
    expect(variance / deviation ** 2).toBeGreaterThan(0.8);
    expect(variance / deviation ** 2).toBeLessThan(1.2);
    // Too sharp to be reached at once.
    expect(stages).toBeGreaterThan(3);
  });

  it("gives each of two far tops its share: e⁻¹ as many on the lower", () => {
    for (const seed of [2, 3, 4]) {
      const { first } = annealed((x) => -(((Math.abs(x) - 1.5) / 0.03) ** 2) / 2 - (x < 0 ? 1 : 0), seed);
      const lower = mean(first.map((x) => (x < 0 ? 1 : 0)));
      const share = Math.exp(-1) / (1 + Math.exp(-1));
      // Each stage of resampling adds to the error of a share.
      expect(Math.abs(lower - share)).toBeLessThan(8 * Math.sqrt((share * (1 - share)) / WALKERS));
    }
  });

  it("takes one stage where the weight is flat", () => {
    expect(annealed(() => 0, 5).stages).toBe(1);
  });
});

const ROUNDS = 8;

/** Walkers whose rounds follow x′ = ρ·x + √(1 − ρ²)·noise from standard normal starts; row-major (round, walker). */
function autoregressive(correlation: number, seed: number, walkers: number): Float64Array {
  const stream = createStream(seed);
  const draws = new Float64Array(walkers * ROUNDS);
  for (let k = 0; k < draws.length; k++) {
    const noise = stream.normal();
    draws[k] =
      k < walkers ? noise : correlation * draws[k - walkers]! + Math.sqrt(1 - correlation ** 2) * noise;
  }
  return draws;
}

describe("the effective sample size of walkers' draws", () => {
  const walkers = 4000;
  for (const correlation of [0, 0.5, 0.9, -0.4])
    it(`is W·R/(1 + 2·Σ(1 − k/R)·ρᵏ) at an autocorrelation of ${correlation}, and never more than the draws`, () => {
      let inflation = 1;
      for (let lag = 1; lag < ROUNDS; lag++) inflation += 2 * (1 - lag / ROUNDS) * correlation ** lag;
      const draws = autoregressive(correlation, 11, walkers);
      const found = effectiveSampleSize(draws.length, { walkers }, (k) => draws[k]!);
      const expected = Math.min(draws.length, draws.length / inflation);
      // The variance between W means is known to √(2/W): 2.2 %; four of them.
      expect(Math.abs(found / expected - 1)).toBeLessThan(0.09);
      expect(found).toBeLessThanOrEqual(draws.length);
    });

  it("is one a walker where none moves, and one a group where its walkers are copies", () => {
    const starts = createStream(3).fill(new Float64Array(walkers));
    const still = effectiveSampleSize(walkers * ROUNDS, { walkers }, (k) => starts[k % walkers]!);
    expect(still / walkers).toBeCloseTo(1, 2);
    const copies = effectiveSampleSize(
      walkers * ROUNDS,
      { walkers, batches: 400 },
      (k) => starts[Math.floor((k % walkers) / 10)]!,
    );
    expect(copies / 400).toBeCloseTo(1, 2);
  });
});
