import { describe, expect, it } from "vitest";
import { effectiveSampleSize } from "../../../src/core/numeric/anneal.js";
import {
  type Proposals,
  type WeightedNormal,
  walkEllipses,
} from "../../../src/core/numeric/elliptical-slice.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { logWeights } from "./log-weights.js";

const WALKERS = 16;

type LogWeight = (point: Float64Array) => number;

/** A standard normal in `length` dimensions times a weight of each point, whose logs are at most 0. */
function weighted(length: number, ...logWeights: LogWeight[]): WeightedNormal {
  const squares = { place: new Int32Array(0), gain: new Float64Array(0), centre: new Float64Array(0) };
  const factors = logWeights.map((logWeight) => ({
    logBound: 0,
    add({ count, at, cos, sin, points, others }: Proposals, out: Float64Array): void {
      for (let t = 0; t < count; t++) {
        const other = others.subarray(at[t]!, at[t]! + length);
        const place = points
          .subarray(at[t]!, at[t]! + length)
          .map((x, i) => cos[t]! * x + sin[t]! * other[i]!);
        out[t]! += logWeight(place);
      }
    },
  }));
  return { length, squares, factors, draw: (point, stream) => void stream.fill(point) };
}

/** First coordinates of all walkers after each round but the first fifty. */
function walked(law: WeightedNormal, rounds: number, seed: number): number[] {
  const stream = createStream(seed);
  const points = stream.fill(new Float64Array(WALKERS * law.length));
  const seen: number[] = [];
  const onRound = (round: number): void => {
    for (let k = 0; round >= 50 && k < WALKERS; k++) seen.push(points[k * law.length]!);
  };
  walkEllipses(law, { walkers: WALKERS, rounds: rounds + 50, stream, points, onRound });
  return seen;
}

function moments(values: readonly number[]) {
  const mean = values.reduce((a, b) => a + b, 0) / values.length;
  const variance = values.reduce((a, b) => a + (b - mean) ** 2, 0) / values.length;
  const worth = effectiveSampleSize(values.length, WALKERS, (k) => values[k]!);
  return { mean, variance, error: Math.sqrt(variance / worth) };
}

describe("a walk on ellipses", () => {
  it("draws the normal law itself where the weight is flat, in one look a step", () => {
    const law = weighted(3, () => 0);
    const stream = createStream(1);
    const points = stream.fill(new Float64Array(WALKERS * 3));
    expect(walkEllipses(law, { walkers: WALKERS, rounds: 10, stream, points })).toBe(1);
    const { mean, variance } = moments(walked(law, 1000, 2));
    expect(Math.abs(mean)).toBeLessThan(5 / Math.sqrt(16_000));
    expect(Math.abs(variance - 1)).toBeLessThan(5 * Math.sqrt(2 / 16_000));
  });

  it("has the mean and variance of a normal prior with a normal reading", () => {
    // Prior N(0, 1), reading 1.2 of standard deviation 0.5: precision 5, mean 4.8/5.
    const { mean, variance, error } = moments(
      walked(
        weighted(4, ([x]) => -(((x! - 1.2) / 0.5) ** 2) / 2),
        1500,
        3,
      ),
    );
    expect(Math.abs(mean - 0.96)).toBeLessThan(4 * error);
    expect(variance / 0.2).toBeGreaterThan(0.93);
    expect(variance / 0.2).toBeLessThan(1.07);
    // What it would be if the weight were left out.
    expect(Math.abs(mean - 0)).toBeGreaterThan(40 * error);
  });

  it("has them too where the reading is a square, or half a square and half a part", () => {
    const reading = (x: number): number => -(((x - 1.2) / 0.5) ** 2) / 2;
    const square = (share: number) => ({
      place: Int32Array.of(0),
      gain: Float64Array.of(share / 0.25),
      centre: Float64Array.of(-1.2),
    });
    for (const share of [1, 0.5]) {
      const parts = share === 1 ? [] : [([x]: Float64Array) => (1 - share) * reading(x!)];
      const law = { ...weighted(4, ...parts), squares: square(share) };
      const { mean, variance, error } = moments(walked(law, 1500, 6));
      expect(Math.abs(mean - 0.96)).toBeLessThan(4 * error);
      expect(variance / 0.2).toBeGreaterThan(0.93);
      expect(variance / 0.2).toBeLessThan(1.07);
      expect(logWeights(law, Float64Array.of(0.7, 9, 9, 9, -2, 9, 9, 9), 2)).toEqual(
        Float64Array.of(reading(0.7), reading(-2)),
      );
    }
  });

  it("goes the same way whether its weight is one part or many: what cannot rise to the height is given up sooner", () => {
    const slopes = [1.5, -0.4, 0.8, 2.2];
    const log =
      (i: number): LogWeight =>
      (point) =>
        -((slopes[i]! * point[i]! - 0.7) ** 2);
    const all: LogWeight = (point) => slopes.reduce((sum, _, i) => sum + log(i)(point), 0);
    const whole = walked(weighted(4, all), 200, 7);
    const bitByBit = walked(weighted(4, ...slopes.map((_, i) => log(i))), 200, 7);
    for (const [k, value] of whole.entries()) expect(Math.abs(value - bitByBit[k]!)).toBeLessThan(1e-9);
  });

  it("stays where the weight is not zero: a half normal has mean √(2/π)", () => {
    const values = walked(
      weighted(2, ([x]) => (x! > 0 ? 0 : Number.NEGATIVE_INFINITY)),
      1500,
      4,
    );
    // Walkers that begin on the wrong side have to find the right one.
    expect(Math.min(...values)).toBeGreaterThan(0);
    const { mean, error } = moments(values);
    expect(Math.abs(mean - Math.sqrt(2 / Math.PI))).toBeLessThan(4 * error);
  });

  it("goes to and fro between two answers", () => {
    // |x| was read as 1.5 ± 0.2.
    const values = walked(
      weighted(2, ([x]) => -(((Math.abs(x!) - 1.5) / 0.2) ** 2) / 2),
      1500,
      5,
    );
    const right = values.filter((x) => x > 0).length / values.length;
    expect(Math.abs(right - 0.5)).toBeLessThan(0.06);
  });
});

describe("what draws are worth", () => {
  const chains = (rho: number): number[] => {
    const stream = createStream(6);
    const walkers = 64;
    const now = stream.fill(new Float64Array(walkers));
    return Array.from({ length: 1000 * walkers }, (_, k) => {
      const w = k % walkers;
      now[w] = rho * now[w]! + Math.sqrt(1 - rho ** 2) * stream.normal();
      return now[w]!;
    });
  };

  it("is their number times (1 − ρ)/(1 + ρ) for a chain of first order", () => {
    for (const rho of [0, 0.5, 0.9]) {
      const values = chains(rho);
      const share = effectiveSampleSize(values.length, 64, (k) => values[k]!) / values.length;
      // With 64 walkers the estimate scatters by √(2/63) = 18 %.
      expect(share / ((1 - rho) / (1 + rho)), `ρ = ${rho}`).toBeGreaterThan(0.5);
      expect(share / ((1 - rho) / (1 + rho)), `ρ = ${rho}`).toBeLessThan(1.7);
    }
  });

  it("is one a walker where none ever leaves its start", () => {
    const worth = effectiveSampleSize(1600, 16, (k) => k % 16);
    expect(worth).toBeCloseTo(15, 6);
  });
});
