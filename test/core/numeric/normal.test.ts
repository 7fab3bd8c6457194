import { cumulativeStdNormalProbability, errorFunction } from "simple-statistics";
import { describe, expect, it } from "vitest";
import {
  HAZARD_EXCESS_COEFFICIENTS,
  HAZARD_EXCESS_MIDDLE,
  HAZARD_EXCESS_POLE,
  hazardExcess,
  normalCdf,
  normalCentral,
  normalLogCdf,
  normalPdf,
  normalQuantile,
  normalSurvival,
} from "../../../src/core/numeric/normal.js";
import {
  big,
  bigCentral,
  bigExcess,
  bigLogOneMinus,
  bigLogTail,
  bigPdf,
  bigSurvival,
  linear,
  logarithmic,
  PI,
  relativeError,
  worst,
} from "./big.js";

/** Where all results are normal doubles; 38 itself is subnormal. */
const RANGE = [...linear(-37.5, 37.5, 101), ...logarithmic(1e-12, 1, 30)];

describe("normal distribution, against 64-digit arithmetic", () => {
  it("density, survival and middle part keep all digits for |z| ≤ 37.5", () => {
    expect(worst(RANGE, (z) => relativeError(normalPdf(z), bigPdf(big(z)))).error).toBeLessThan(1e-15);
    expect(worst(RANGE, (z) => relativeError(normalSurvival(z), bigSurvival(big(z)))).error).toBeLessThan(
      1e-15,
    );
    expect(worst(RANGE, (z) => relativeError(normalCentral(z), bigCentral(big(z)))).error).toBeLessThan(
      1e-15,
    );
  });

  it("the subnormal end is rounded once", () => {
    for (const z of [37.6, 38, 38.4]) {
      const step = big("5e-324");
      expect(
        big(normalSurvival(z))
          .minus(bigSurvival(big(z)))
          .abs()
          .div(step)
          .toNumber(),
      ).toBeLessThan(0.6);
    }
  });

  it("the hazard's excess keeps all digits for 0 ≤ z ≤ 1e8", () => {
    const points = [0, ...logarithmic(1e-6, 1e8, 60)];
    expect(worst(points, (z) => relativeError(hazardExcess(z), bigExcess(big(z)))).error).toBeLessThan(1e-15);
  });

  it("the stored coefficients are the Chebyshev coefficients they claim to be", () => {
    const n = 64;
    const angles = Array.from({ length: n }, (_, j) => PI.times(j + 0.5).div(n));
    const values = angles.map((angle) => {
      const t = angle.cos();
      const z = t.plus(1).div(big(1).minus(t)).times(HAZARD_EXCESS_MIDDLE);
      return z.plus(HAZARD_EXCESS_POLE).times(bigExcess(z));
    });
    for (const k of [0, 1, 7, 15, HAZARD_EXCESS_COEFFICIENTS.length - 1]) {
      let sum = big(0);
      angles.forEach((angle, j) => {
        sum = sum.plus(values[j]!.times(angle.times(k).cos()));
      });
      const exact = sum.times(k === 0 ? 1 : 2).div(n);
      expect(relativeError(HAZARD_EXCESS_COEFFICIENTS[k]!, exact)).toBeLessThan(2e-16);
    }
  });

  it("log Φ keeps all digits from −1e8 to 37", () => {
    const points = [...linear(-40, 37, 120), ...logarithmic(1, 1e8, 30).map((z) => -z)];
    const exact = (z: number) => (z > 0 ? bigLogOneMinus(bigSurvival(big(z))) : bigLogTail(big(-z)));
    expect(worst(points, (z) => relativeError(normalLogCdf(z), exact(z))).error).toBeLessThan(1e-15);
    expect(normalLogCdf(-Infinity)).toBe(-Infinity);
    expect(normalLogCdf(Infinity)).toBe(-0);
  });

  it("the quantile solves Φ(z) = p from 5e-324 to 1 − 1e-16", () => {
    const middle = logarithmic(1e-15, 0.2, 20).flatMap((e) => [0.5 - e, 0.5 + e]);
    const points = [
      5e-324,
      1e-310,
      ...logarithmic(1e-307, 0.5, 60),
      ...linear(0.01, 0.99, 30),
      ...middle,
      1 - 2 ** -53,
    ];
    const error = (p: number) => {
      const z = big(normalQuantile(p));
      return z.isZero()
        ? p === 0.5
          ? 0
          : 1
        : bigSurvival(z.neg())
            .minus(big(p))
            .div(z.times(bigPdf(z)))
            .abs()
            .toNumber();
    };
    expect(worst(points, error).error).toBeLessThan(1e-15);
    expect([normalQuantile(0), normalQuantile(0.5), normalQuantile(1)]).toEqual([-Infinity, 0, Infinity]);
    expect(() => normalQuantile(1.1)).toThrow(/probability; it must lie in \[0, 1\]; got 1.1/);
    expect(() => normalQuantile(Number.NaN)).toThrow(RangeError);
  });

  it("negative control: the approximations this replaces fail the same bound", () => {
    const known = (z: number) => 0.5 * errorFunction(z / Math.SQRT2);
    expect(worst([0.3, 1, 2], (z) => relativeError(known(z), bigCentral(big(z)))).error).toBeGreaterThan(
      1e-10,
    );
    expect(
      worst([-4], (z) => relativeError(cumulativeStdNormalProbability(z), bigSurvival(big(-z)))).error,
    ).toBeGreaterThan(1e-4);
  });

  it("is symmetric and passes NaN through", () => {
    for (const z of [0, 0.5, 3, 20]) expect(normalCdf(-z)).toBe(normalSurvival(z));
    expect([normalCdf(-Infinity), normalCdf(Infinity)]).toEqual([0, 1]);
    expect(normalCdf(Number.NaN)).toBeNaN();
  });
});
