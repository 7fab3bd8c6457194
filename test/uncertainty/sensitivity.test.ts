import { describe, expect, it } from "vitest";
import { createStream } from "../../src/core/numeric/random-stream.js";
import { normal, rectangular } from "../../src/uncertainty/distributions.js";
import { sensitivityIndices } from "../../src/uncertainty/sensitivity.js";
import {
  directionNumbers,
  MOST_DIMENSIONS,
  pairQuality,
  primitivePolynomials,
  scrambledSobol,
} from "../../src/uncertainty/sobol-points.js";

/** The first 2ᵐ points, a row each. */
function points(dimensions: number, m: number, seed: number): Float64Array[] {
  const sequence = scrambledSobol(dimensions, createStream(seed));
  return Array.from({ length: 2 ** m }, () => {
    const point = new Float64Array(dimensions);
    sequence.next(point);
    return point;
  });
}

describe("primitive polynomials", () => {
  it("are as many of each degree as φ(2ˢ − 1)/s says", () => {
    const all = primitivePolynomials(MOST_DIMENSIONS);
    const totient = (n: number) => {
      let count = 0;
      const gcd = (a: number, b: number): number => (b === 0 ? a : gcd(b, a % b));
      for (let k = 1; k <= n; k++) if (gcd(k, n) === 1) count++;
      return count;
    };
    for (let s = 1; s <= 10; s++)
      expect(all.filter((p) => p >= 2 ** s && p < 2 ** (s + 1)).length).toBe(totient(2 ** s - 1) / s);
    expect(all.length).toBe(MOST_DIMENSIONS);
    expect(all.slice(0, 5)).toEqual([1, 0b11, 0b111, 0b1011, 0b1101]);
  });
});

describe("scrambled Sobol' points", () => {
  it("put exactly one of 2ᵐ in each interval of every axis, after scrambling", () => {
    const set = points(40, 8, 3);
    for (let d = 0; d < 40; d++) {
      const taken = new Set(set.map((point) => Math.floor(point[d]! * 256)));
      expect(taken.size).toBe(256);
    }
  });

  it("fill every box of a pair as its t promises, counted point by point", () => {
    const m = 8;
    const v = directionNumbers(12);
    const set = points(12, m, 4);
    for (let i = 0; i < 12; i++)
      for (let j = 0; j < i; j++) {
        const t = pairQuality(v[i]!, v[j]!, m);
        for (let a = 0; a <= m - t; a++) {
          const b = m - t - a;
          const counts = new Map<number, number>();
          for (const point of set) {
            const box = Math.floor(point[i]! * 2 ** a) * 2 ** b + Math.floor(point[j]! * 2 ** b);
            counts.set(box, (counts.get(box) ?? 0) + 1);
          }
          expect(counts.size).toBe(2 ** (m - t));
          for (const count of counts.values()) expect(count).toBe(2 ** t);
        }
      }
  });

  it("negative control: at a t one better than stated some box is uneven", () => {
    const m = 8;
    const v = directionNumbers(12);
    const set = points(12, m, 4);
    let checked = 0;
    for (let i = 1; i < 12; i++) {
      const t = pairQuality(v[i]!, v[i - 1]!, m) - 1;
      if (t < 0) continue;
      checked++;
      let uneven = false;
      for (let a = 0; a <= m - t; a++) {
        const b = m - t - a;
        const boxes = new Set(
          set.map((p) => Math.floor(p[i]! * 2 ** a) * 2 ** b + Math.floor(p[i - 1]! * 2 ** b)),
        );
        if (boxes.size < 2 ** (m - t)) uneven = true;
      }
      expect(uneven).toBe(true);
    }
    expect(checked).toBeGreaterThan(5);
  });

  it("the first two dimensions are a (0, m, 2)-net, and no pair of the first 20 is worse than t = 5 at 2¹⁰", () => {
    const v = directionNumbers(20);
    for (let m = 1; m <= 16; m++) expect(pairQuality(v[0]!, v[1]!, m)).toBe(0);
    for (let i = 0; i < 20; i++)
      for (let j = 0; j < i; j++) expect(pairQuality(v[i]!, v[j]!, 10)).toBeLessThanOrEqual(5);
  });

  it("integrate without bias, and far better than random points", () => {
    const f = (p: Float64Array) => p.reduce((product, u) => product * (1 + (u - 0.5)), 1); // mean 1 on the cube
    const replicates = 40;
    const errors = Array.from({ length: replicates }, (_, seed) => {
      const set = points(6, 10, 100 + seed);
      return set.reduce((sum, p) => sum + f(p), 0) / set.length - 1;
    });
    const mean = errors.reduce((a, b) => a + b, 0) / replicates;
    const rms = Math.sqrt(errors.reduce((sum, e) => sum + e * e, 0) / replicates);
    expect(Math.abs(mean)).toBeLessThan((4 * rms) / Math.sqrt(replicates));
    const variance = (1 + 1 / 12) ** 6 - 1;
    expect(rms).toBeLessThan(0.1 * Math.sqrt(variance / 1024));
  });

  it("has a stated end", () => {
    expect(() => directionNumbers(MOST_DIMENSIONS + 1)).toThrow(/1 … 161; got 162/);
    expect(() => directionNumbers(0)).toThrow(RangeError);
  });
});

describe("sensitivity indices", () => {
  const unit = (name: string) => ({ name, distribution: rectangular(0, 1) });

  it("of a straight model are its shares of variance, first and total alike", () => {
    const inputs = [1, 2, 3].map((u) => ({ name: `x${u}`, distribution: normal(0, u) }));
    const { lines, variance, estimate, evaluations } = sensitivityIndices(
      (x) => 5 + x[0]! + x[1]! + x[2]!,
      inputs,
      { confidence: 0.999 },
    );
    expect(lines.map((line) => line.name)).toEqual(["x3", "x2", "x1"]);
    for (const { name, first, total } of lines) {
      const share = Number(name.slice(1)) ** 2 / 14;
      for (const index of [first, total]) {
        expect(index.low).toBeLessThanOrEqual(share);
        expect(index.high).toBeGreaterThanOrEqual(share);
        expect(index.high - index.low).toBeLessThan(0.03);
      }
    }
    expect(variance).toBeCloseTo(14, 0);
    expect(estimate).toBeCloseTo(5, 2);
    expect(evaluations).toBe(1024 * 5 * 16);
  });

  it("bounds cover the truth about as often as they say, and fail when the truth is moved", () => {
    // f = x·y on the unit square: V = 7/144, S = 3/7 each, T = 4/7 each.
    let [covered, moved] = [0, 0];
    for (let seed = 1; seed <= 60; seed++) {
      const { lines } = sensitivityIndices((x) => x[0]! * x[1]!, [unit("x"), unit("y")], {
        seed,
        points: 64,
        replicates: 8,
      });
      for (const { first, total } of lines) {
        if (first.low <= 3 / 7 && 3 / 7 <= first.high) covered++;
        if (total.low <= 4 / 7 && 4 / 7 <= total.high) covered++;
        if (total.low <= 3 / 7 && 3 / 7 <= total.high) moved++;
      }
    }
    expect(covered / 240).toBeGreaterThan(0.88);
    expect(covered / 240).toBeLessThan(0.995);
    expect(moved).toBe(0);
  });

  it("a constant output has no index, and says so", () => {
    const result = sensitivityIndices(() => 3, [unit("x")], { points: 16 });
    expect([result.status, result.variance, result.lines[0]!.total.value]).toEqual(["constant", 0, 0]);
  });

  it("refuses options out of range", () => {
    const f = (x: Float64Array) => x[0]!;
    expect(() => sensitivityIndices(f, [unit("x")], { points: 100 })).toThrow(/power of two/);
    expect(() => sensitivityIndices(f, [unit("x")], { replicates: 2 })).toThrow(/at least 4/);
    expect(() =>
      sensitivityIndices(
        f,
        Array.from({ length: 81 }, (_, i) => unit(`x${i}`)),
      ),
    ).toThrow(/at most 80; got 81/);
    expect(() => sensitivityIndices(() => Number.NaN, [unit("x")])).toThrow(/gave no number/);
  });
});
