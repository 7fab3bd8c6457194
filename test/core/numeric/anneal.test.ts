import { describe, expect, it } from "vitest";
import { anneal } from "../../../src/core/numeric/anneal.js";
import type { Proposals, WeightedNormal } from "../../../src/core/numeric/elliptical-slice.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";

const WALKERS = 1000;

/** A standard normal in two dimensions times a weight, whose log is at most 0, of the first. */
function weighted(logWeight: (x: number) => number): WeightedNormal {
  const add = ({ count, at, cos, sin, points, others }: Proposals, out: Float64Array): void => {
    for (let t = 0; t < count; t++)
      out[t]! += logWeight(cos[t]! * points[at[t]!]! + sin[t]! * others[at[t]!]!);
  };
  const squares = { place: new Int32Array(0), gain: new Float64Array(0), centre: new Float64Array(0) };
  return {
    length: 2,
    squares,
    factors: [{ logBound: 0, add }],
    draw: (point, stream) => void stream.fill(point),
  };
}

function annealed(law: WeightedNormal, seed: number): { first: number[]; stages: number } {
  const stream = createStream(seed);
  const points = stream.fill(new Float64Array(2 * WALKERS));
  const stages = anneal(law, { walkers: WALKERS, rounds: 3, stream, points });
  return { first: Array.from({ length: WALKERS }, (_, k) => points[2 * k]!), stages };
}

const mean = (values: readonly number[]): number => values.reduce((a, b) => a + b, 0) / values.length;

describe("annealing", () => {
  it("ends in draws of the law: a normal prior with a sharp normal reading", () => {
    // Prior N(0, 1), reading 2 of standard deviation 0.02: precision 2501, mean 2·2500/2501.
    const { first, stages } = annealed(
      weighted((x) => -(((x - 2) / 0.02) ** 2) / 2),
      1,
    );
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
      const { first } = annealed(
        weighted((x) => -(((Math.abs(x) - 1.5) / 0.03) ** 2) / 2 - (x < 0 ? 1 : 0)),
        seed,
      );
      const lower = mean(first.map((x) => (x < 0 ? 1 : 0)));
      const share = Math.exp(-1) / (1 + Math.exp(-1));
      expect(Math.abs(lower - share)).toBeLessThan(5 * Math.sqrt((share * (1 - share)) / WALKERS));
    }
  });

  it("takes one stage where the weight is flat", () => {
    expect(
      annealed(
        weighted(() => 0),
        5,
      ).stages,
    ).toBe(1);
  });
});
