import { describe, expect, it } from "vitest";
import { normalCdf, normalSurvival } from "../../../src/core/numeric/normal.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { chiSquareSurvival } from "./chi-square-survival.js";

/** A right generator fails one of these tests with a fixed seed once in 10⁴ choices of the seed. */
const LEVEL = 1e-4;
const N = 20_000_000;
const BLOCK = 100_000;

const chance = (counts: Float64Array, expected: (i: number) => number): number =>
  chiSquareSurvival(
    counts.reduce((sum, count, i) => sum + (count - expected(i)) ** 2 / expected(i), 0),
    counts.length - 1,
  );

describe("twenty million normals", () => {
  it("fill a thousand bins of equal chance, hold the tails to six sigma, and neither neighbours nor layers hang together", () => {
    const bins = 1000;
    const edges = Float64Array.from({ length: bins - 1 }, (_, k) => quantile((k + 1) / bins));
    const counts = new Float64Array(bins);
    const pairs = new Float64Array(32 * 32);
    const lags = new Float64Array(8);
    const beyond = new Map([3.5, 4, 4.5, 5, 5.5, 6].map((z) => [z, 0]));
    const stream = createStream(20);
    const block = new Float64Array(BLOCK);
    for (let done = 0; done < N; done += BLOCK) {
      stream.fill(block);
      for (let i = 0; i < BLOCK; i++) {
        const x = block[i]!;
        counts[place(edges, x)]!++;
        if (i % 16 === 0)
          pairs[32 * Math.floor(32 * normalCdf(x)) + Math.floor(32 * normalCdf(block[i + 1]!))]!++;
        if (Math.abs(x) > 3.5) for (const [z, count] of beyond) if (Math.abs(x) > z) beyond.set(z, count + 1);
        if (i >= 8) for (let lag = 1; lag <= 8; lag++) lags[lag - 1]! += x * block[i - lag]!;
      }
    }
    expect(chance(counts, () => N / bins)).toBeGreaterThan(LEVEL);
    expect(chance(pairs, () => N / 16 / 1024)).toBeGreaterThan(LEVEL);
    const used = (N / BLOCK) * (BLOCK - 8);
    for (const sum of lags)
      expect(2 * normalSurvival(Math.abs(sum) / Math.sqrt(used))).toBeGreaterThan(LEVEL);
    for (const [z, count] of beyond) {
      const expected = 2 * N * normalSurvival(z);
      // Of so few the chance is Poisson's; below five expected, as many as ten would be one case in 10⁴ at the most.
      if (expected > 5) expect(Math.abs(count - expected) / Math.sqrt(expected)).toBeLessThan(4.5);
      else expect(count).toBeLessThanOrEqual(10);
    }
  });

  it("negative control: the same tests see a tail that is cut, and a step between neighbours", () => {
    const cut = 2_000_000;
    const stream = createStream(21);
    let beyond = 0;
    let product = 0;
    let last = 0;
    for (let i = 0; i < cut; i++) {
      const x = Math.max(-3.6, Math.min(3.6, stream.normal()));
      if (Math.abs(x) > 4) beyond++;
      product += (x + 0.01 * last) * last;
      last = x;
    }
    const expected = 2 * cut * normalSurvival(4);
    expect((expected - beyond) / Math.sqrt(expected)).toBeGreaterThan(4.5);
    expect(2 * normalSurvival(Math.abs(product) / Math.sqrt(cut))).toBeLessThan(LEVEL);
  });
});

/** Index of the first edge above `x`. */
function place(edges: Float64Array, x: number): number {
  let [low, high] = [0, edges.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (edges[middle]! > x) high = middle;
    else low = middle + 1;
  }
  return low;
}

/** Φ⁻¹ by halving, so that the bins do not rest on the library's own. */
function quantile(p: number): number {
  let [low, high] = [-10, 10];
  for (let step = 0; step < 80; step++) {
    const middle = (low + high) / 2;
    if (normalCdf(middle) < p) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
