import { describe, expect, it } from "vitest";
import { normalLogCdf } from "../../../src/core/numeric/normal.js";
import { logNormalInterval } from "../../../src/core/numeric/normal-interval.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { longIt } from "../../tools/longer.js";
import { big, bigExcess, bigLogOneMinus, bigPdf, bigSurvival, logarithmic, relativeError } from "./big.js";

/** Value and derivatives by the defining formulas, which cancel, in 64 digits, which can afford it. */
function exact(lo: number, hi: number) {
  const mirrored = lo + hi < 0;
  const [a, b] = mirrored ? [big(-hi), big(-lo)] : [big(lo), big(hi)];
  const inside = bigSurvival(a).minus(bigSurvival(b));
  const outside = bigSurvival(b).plus(bigSurvival(a.neg()));
  const value = outside.lt(0.1) ? bigLogOneMinus(outside) : inside.ln();
  const [atA, atB] = [bigPdf(a).div(inside), bigPdf(b).div(inside)];
  const d1 = atB.minus(atA);
  const d2 = a.times(atA).minus(b.times(atB)).minus(d1.times(d1));
  return { value, d1: mirrored ? d1.neg() : d1, d2 };
}

function intervals(): [number, number][] {
  const stream = createStream(20);
  const uniform = (a: number, b: number) => a + (b - a) * stream.uniform();
  return Array.from({ length: 150 }, (_, i) => {
    const middle = i % 3 === 0 ? uniform(-37, 37) : i % 3 === 1 ? uniform(-3, 3) : uniform(-9, 9);
    const width = Math.exp(
      i % 2 ? uniform(Math.log(1e-12), Math.log(60)) : uniform(Math.log(0.01), Math.log(20)),
    );
    return [middle - width / 2, middle + width / 2];
  });
}

describe("log normal interval", () => {
  longIt("keeps its digits for narrow, wide, central and far intervals", () => {
    for (const [lo, hi] of intervals()) {
      const ours = logNormalInterval(lo, hi);
      const ref = exact(lo, hi);
      const at = `[${lo}, ${hi}]`;
      expect(relativeError(ours.value, ref.value), at).toBeLessThan(2e-15);
      expect(
        Math.abs(big(ours.d1).minus(ref.d1).toNumber()) / Math.max(1e-3, Math.abs(ours.d1)),
        at,
      ).toBeLessThan(1e-14);
      expect(relativeError(ours.d2, ref.d2), at).toBeLessThan(2e-15);
    }
  });

  it("goes on where the probability underflows, both narrow and with an open end", () => {
    for (const z of logarithmic(40, 1e7, 12)) {
      const open = logNormalInterval(z, Infinity);
      const excess = bigExcess(big(z));
      expect(relativeError(open.d1, excess.plus(z).neg())).toBeLessThan(1e-15);
      expect(relativeError(open.d2, excess.plus(z).times(excess).neg())).toBeLessThan(1e-15);
      // A far interval of width c/z is a truncated exponential to order 1/z²: its mean lies between the ends.
      for (const c of [0.1, 1, 3, 10, 100]) {
        const { value, d1, d2 } = logNormalInterval(z, z + c / z);
        const mean = (1 - c / Math.expm1(c)) / z;
        expect(Math.abs(-d1 - z - mean) * z).toBeLessThan(20 / z ** 2 + 1e-15 * z ** 2);
        const variance = 1 - (c * c * Math.exp(-c)) / Math.expm1(-c) ** 2;
        expect(Math.abs((d2 + 1) * z * z - variance)).toBeLessThan(60 / z ** 2 + 1e-15 * z ** 2);
        expect(value).toBeLessThanOrEqual(normalLogCdf(-z));
      }
    }
  });

  it("derivatives agree with differences of the value", () => {
    for (const [lo, hi] of [
      [-0.4, 0.9],
      [2, 2.3],
      [3, 9],
      [-7, -1],
      [-Infinity, -0.3],
      [-2, Infinity],
    ] as const) {
      const h = 1e-4;
      const [minus, zero, plus] = [-h, 0, h].map((s) => logNormalInterval(lo + s, hi + s));
      expect(zero!.d1).toBeCloseTo((plus!.value - minus!.value) / (2 * h), 7);
      expect(zero!.d2).toBeCloseTo((plus!.d1 - minus!.d1) / (2 * h), 7);
    }
  });

  it("mirrors exactly, and knows its limits", () => {
    const a = logNormalInterval(0.3, 4);
    const b = logNormalInterval(-4, -0.3);
    expect([b.value, b.d1, b.d2]).toEqual([a.value, -a.d1, a.d2]);
    expect(logNormalInterval(-Infinity, Infinity)).toEqual({ value: 0, d1: 0, d2: 0 });
    expect(logNormalInterval(1.5, 1.5)).toEqual({ value: -Infinity, d1: -1.5, d2: -1 });
    expect(logNormalInterval(1e200, 2e200).value).toBe(-Infinity);
  });

  it("refuses a reversed interval instead of turning it round", () => {
    expect(() => logNormalInterval(1, 0)).toThrow(/reversed or empty; its ends must rise; got \[1, 0\]/);
    expect(() => logNormalInterval(Number.NaN, 0)).toThrow(RangeError);
    expect(() => logNormalInterval(Infinity, Infinity)).toThrow(RangeError);
  });
});
