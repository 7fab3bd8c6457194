import { describe, expect, it } from "vitest";
import { largestCase, worstCase } from "../../src/uncertainty/worst-case.js";

const box = (n: number, low = -1, high = 1) =>
  Array.from({ length: n }, (_, i) => ({ name: `x${i + 1}`, low, high }));

describe("worst case over a box", () => {
  it("is exact at a corner for a model straight in each input", () => {
    const { minimum, maximum, status } = worstCase(([a, b, c]) => a! * b! - 3 * c! + b! * c!, box(3));
    expect([status, minimum.value, maximum.value]).toEqual(["all corners", -5, 5]);
    expect([minimum.corner, maximum.corner]).toEqual([true, true]);
  });

  it("looks inside the box too: a peak away from all corners", () => {
    const peak = ([a, b]: Float64Array) => -((a! - 0.3) ** 2) - (b! + 0.2) ** 2 - (a! - 0.3) * (b! + 0.2);
    const { maximum } = worstCase(peak, box(2));
    expect(maximum.value).toBeCloseTo(0, 9);
    expect(maximum.corner).toBe(false);
    expect(maximum.at[0]).toBeCloseTo(0.3, 4);
  });

  it("climbs where there are too many corners, and says it did not try them all", () => {
    const weights = Float64Array.from({ length: 30 }, (_, i) => Math.sin(i + 1));
    const model = (x: Float64Array) => x.reduce((sum, v, i) => sum + weights[i]! * v, 0);
    const { maximum, minimum, status, evaluations, sentence } = worstCase(model, box(30));
    const exact = weights.reduce((sum, w) => sum + Math.abs(w), 0);
    expect(maximum.value).toBeCloseTo(exact, 9);
    expect(minimum.value).toBeCloseTo(-exact, 9);
    expect([status, evaluations < 20_000]).toEqual(["searched", true]);
    expect(sentence).toMatch(/too many corners/);
  });

  it("is found alone where only the largest value is wanted, and with coarser steps in fewer evaluations", () => {
    const target = 0.123_456;
    let evaluations = 0;
    const model = (x: Float64Array) => {
      evaluations++;
      return -x.reduce((sum, v) => sum + (v - target) ** 2, 0);
    };
    const both = worstCase(model, box(20)).maximum;
    const fine = largestCase(model, box(20));
    expect([fine.value, [...fine.at]]).toEqual([both.value, [...both.at]]);
    evaluations = 0;
    largestCase(model, box(20));
    const inFull = evaluations;
    evaluations = 0;
    const coarse = largestCase(model, box(20), { smallestStep: 1e-3 });
    expect(evaluations).toBeLessThan(inFull);
    for (const x of coarse.at) expect(Math.abs(x - target)).toBeLessThan(0.005);
    expect(() => largestCase(model, box(20), { smallestStep: 1 })).toThrow(/smallest step/);
  });

  it("slope bounds give limits that hold even where the search is blind", () => {
    const needle = ([a]: Float64Array) => Math.max(0, 1 - 1000 * Math.abs(a! - 0.123_456));
    const { maximum, limits } = worstCase(needle, box(1), { slopeBounds: [1000] });
    expect(maximum.value).toBeLessThan(1); // the search misses it: why a reached value is only a lower bound
    expect(limits![1]).toBeGreaterThanOrEqual(1);
    expect(worstCase(needle, box(1)).limits).toBeNull();
  });

  it("refuses a box that is none", () => {
    expect(() => worstCase(() => 0, [])).toThrow(/no sides/);
    expect(() => worstCase(() => 0, box(1, 1, -1))).toThrow(/got \[1, -1\]; in x1/);
    expect(() => worstCase(() => Number.NaN, box(1))).toThrow(/gave no number/);
    expect(() => worstCase(() => 0, box(2), { slopeBounds: [1] })).toThrow(/2 needed; got 1/);
    expect(() => worstCase(() => 0, box(2), { mostAllCorners: 40 })).toThrow(/0 … 20/);
  });
});
