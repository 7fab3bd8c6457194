import { describe, expect, it } from "vitest";
import { normalQuantile } from "../../../src/core/numeric/normal.js";
import { deviance, incompleteBeta, logGamma } from "../../../src/core/numeric/special-functions.js";
import { fSurvival, studentTParts, tPdf, tQuantile } from "../../../src/core/numeric/student-t.js";
import { longIt } from "../../tools/longer.js";
import {
  big,
  bigBeta,
  bigGammaLower,
  bigLogGamma,
  bigTPdf,
  bigTSurvival,
  logarithmic,
  relativeError,
  worst,
} from "./big.js";
import { chiSquareSurvival } from "./chi-square-survival.js";

/** P(T > t), also below zero. */
function tSurvival(t: number, nu: number): number {
  const { central, tail } = studentTParts(Math.abs(t), nu);
  return t >= 0 ? tail : 0.5 + central;
}

/** The bound all tails state: 1e-14 and 4e-16 for each unit of |log p|. */
const tailError = (p: number, exact: ReturnType<typeof big>): number =>
  relativeError(p, exact) / (1e-14 + 4e-16 * Math.abs(Math.log(p)));

const NUS = [0.1, 0.5, 1, 2, 3, 4.5, 9, 16.7, 50, 333, 1e4, 1e7, 1e10];

describe("gamma function and its kin, against 64-digit arithmetic", () => {
  it("log Γ", () => {
    const error = (x: number) =>
      big(logGamma(x))
        .minus(bigLogGamma(big(x)))
        .abs()
        .toNumber() / Math.max(1, Math.abs(logGamma(x)));
    expect(worst(logarithmic(1e-6, 1e8, 120), error).error).toBeLessThan(1e-15);
    expect(logGamma(0.5)).toBeCloseTo(Math.log(Math.PI) / 2, 15);
    expect(() => logGamma(0)).toThrow(/x must be > 0; got 0/);
  });

  it("the deviance keeps its digits where its three terms cancel", () => {
    for (const e of [1e-12, 1e-6, 1e-3, 0.2, 3]) {
      const [x, m] = [7, 7 * (1 + e)];
      const exact = big(x).div(big(m)).ln().times(x).plus(big(m)).minus(x);
      expect(relativeError(deviance(x, m), exact)).toBeLessThan(2e-14);
    }
  });
});

describe("Student's t", () => {
  longIt("tails and density keep their digits, 0.1 ≤ ν ≤ 1e10", () => {
    const points = NUS.flatMap((nu) =>
      logarithmic(1e-6, nu > 500 ? 13 : 1e5, 14).map((t) => [t, nu] as const),
    );
    const error = ([t, nu]: readonly [number, number]) =>
      tailError(tSurvival(t, nu), bigTSurvival(big(t), big(nu)));
    expect(worst(points, error).error).toBeLessThan(1);
    const density = ([t, nu]: readonly [number, number]) => tailError(tPdf(t, nu), bigTPdf(big(t), big(nu)));
    expect(worst(points, density).error).toBeLessThan(1);
  });

  it("the quantile solves its equation", () => {
    const ps = [1e-300, 1e-30, 1e-9, 0.001, 0.025, 0.2, 0.3, 0.45, 0.4999, 0.5 - 1e-12];
    const points = NUS.flatMap((nu) => ps.map((p) => [p, nu] as const)).filter(
      ([p, nu]) => nu <= 500 || p > 1e-20,
    );
    const error = ([p, nu]: readonly [number, number]) => {
      const t = -tQuantile(p, nu);
      if (t === Infinity) return nu * 308 < -Math.log10(p) ? 0 : 1;
      const miss = bigTSurvival(big(t), big(nu)).minus(big(p));
      const relative = miss
        .div(bigTPdf(big(t), big(nu)).times(t))
        .abs()
        .toNumber();
      return relative / (2e-14 + 1e-15 * Math.abs(Math.log(t)));
    };
    expect(worst(points, error).error).toBeLessThan(1);
  });

  it("has its closed forms at ν = 1 and 2, the normal at ∞, and its symmetry", () => {
    for (const p of [1e-12, 0.01, 0.3, 0.77]) {
      expect(tQuantile(p, 1) * -Math.tan(Math.PI * p)).toBeCloseTo(1, 12);
      expect(tQuantile(p, 2) / ((2 * p - 1) / Math.sqrt(2 * p * (1 - p)))).toBeCloseTo(1, 13);
      expect(tQuantile(p, Infinity)).toBe(normalQuantile(p));
      expect(tQuantile(p, 5)).toBeCloseTo(-tQuantile(1 - p, 5), p < 1e-3 ? 1 : 12); // 1 − p rounds
    }
    expect(tSurvival(-3, 7) + tSurvival(3, 7)).toBeCloseTo(1, 15);
    expect([tQuantile(0, 3), tQuantile(0.5, 3), tQuantile(1, 3)]).toEqual([-Infinity, 0, Infinity]);
    expect(tSurvival(1e200, 1)).toBeCloseTo(0, 200);
    expect(tSurvival(1e200, 1) * 1e200 * Math.PI).toBeCloseTo(1, 12);
  });

  it("refuses what has no meaning", () => {
    expect(() => tSurvival(1, 0)).toThrow(/ν must be > 0; got 0/);
    expect(() => tQuantile(0.5, -1)).toThrow(RangeError);
    expect(() => tQuantile(-0.1, 3)).toThrow(/must lie in \[0, 1\]/);
  });
});

describe("chi-square and F", () => {
  it("chi-square tail keeps its digits", () => {
    const points = [0.1, 1, 2, 7, 40, 300, 5000].flatMap((nu) =>
      [0.01, 0.3, 0.8, 0.99, 1.01, 1.2, 2, 5].map((f) => [f * nu, nu] as const),
    );
    const error = ([x, nu]: readonly [number, number]) => {
      const p = chiSquareSurvival(x, nu);
      if (p < 1e-80) return 0; // the reference loses its digits there
      return tailError(p, big(1).minus(bigGammaLower(big(nu).div(2), big(x).div(2))));
    };
    expect(worst(points, error).error).toBeLessThan(1);
    for (const x of [1, 50, 1400]) expect(chiSquareSurvival(x, 2) / Math.exp(-x / 2)).toBeCloseTo(1, 13);
    expect([chiSquareSurvival(0, 3), chiSquareSurvival(Infinity, 3)]).toEqual([1, 0]);
    expect(() => chiSquareSurvival(-1, 3)).toThrow(/x must be ≥ 0/);
  });

  it("F tail keeps its digits, and its square root is t", () => {
    const points = [0.3, 1, 4, 20, 250].flatMap((a) =>
      [0.5, 3, 18, 400].flatMap((b) => [0.05, 0.8, 1.3, 6].map((f) => [f, a, b] as const)),
    );
    const error = ([f, a, b]: readonly [number, number, number]) => {
      const r = big(a).div(b).times(f);
      return tailError(fSurvival(f, a, b), bigBeta(big(1).div(r.plus(1)), big(b).div(2), big(a).div(2)));
    };
    expect(worst(points, error).error).toBeLessThan(1);
    for (const t of [0.4, 2, 9]) expect(fSurvival(t * t, 1, 11) / (2 * tSurvival(t, 11))).toBeCloseTo(1, 13);
    expect([fSurvival(0, 2, 3), fSurvival(Infinity, 2, 3)]).toEqual([1, 0]);
    expect(() => fSurvival(-1, 2, 3)).toThrow(RangeError);
  });

  it("the incomplete beta function is complementary and refuses what it cannot do", () => {
    for (const x of [0.1, 0.5, 0.93]) {
      const left = incompleteBeta(x, 2.5, 7);
      const right = incompleteBeta(1 - x, 7, 2.5);
      expect(left.lower).toBeCloseTo(right.upper, 14);
      expect(left.lower + left.upper).toBeCloseTo(1, 15);
    }
    expect(incompleteBeta(0.5, 1e6, 1e6).lower).toBeCloseTo(0.5, 12);
    expect(() => incompleteBeta(1.2, 1, 1)).toThrow(/must lie in \[0, 1\]/);
    expect(() => incompleteBeta(0.5, 0, 1)).toThrow(/positive and finite/);
  });
});
