import fc from "fast-check";
import { describe, expect, it } from "vitest";
import { normalCdf, normalPdf, normalQuantile } from "../../src/core/numeric/normal.js";
import { normal, rectangular, studentT } from "../../src/uncertainty/distributions.js";
import { checkFirstOrder } from "../../src/uncertainty/first-order-check.js";
import { jointPropagation } from "../../src/uncertainty/law-of-propagation.js";
import { adaptiveMonteCarlo, jointMonteCarlo, monteCarlo } from "../../src/uncertainty/monte-carlo.js";
import {
  numericalTolerance,
  shortestInterval,
  symmetricInterval,
} from "../../src/uncertainty/monte-carlo-blocks.js";

const input = (name: string, estimate: number, u: number) => ({ name, distribution: normal(estimate, u) });
const sum = (x: Float64Array) => x.reduce((a, b) => a + b, 0);
const NORMALS = ["a", "b", "c"].map((name) => input(name, 1, 2));

describe("coverage intervals of sorted values", () => {
  it("follow the counting rule of JCGM 101, 7.7 on small sets", () => {
    const hundred = Float64Array.from({ length: 100 }, (_, i) => i + 1);
    expect(symmetricInterval(hundred, 0.9)).toEqual([5, 95]);
    expect(shortestInterval(hundred, 0.9)).toEqual([1, 91]);
    const skew = Float64Array.from({ length: 100 }, (_, i) => (i / 10) ** 2);
    expect(shortestInterval(skew, 0.9)[0]).toBe(0);
    expect(() => symmetricInterval([1, 2], 0.95)).toThrow(/too few values/);
    expect(() => shortestInterval([], 0.95)).toThrow(/too few values/);
  });

  it("hold p of the values, and none is shorter than the shortest", () => {
    fc.assert(
      fc.property(
        fc.array(fc.double({ min: -9, max: 9, noNaN: true }), { minLength: 30, maxLength: 80 }),
        fc.double({ min: 0.5, max: 0.9, noNaN: true }),
        (values, p) => {
          const sorted = Float64Array.from(values).sort();
          const [low, high] = shortestInterval(sorted, p);
          const [from, to] = symmetricInterval(sorted, p);
          expect(high - low).toBeLessThanOrEqual(to - from);
          expect(sorted.filter((v) => v >= low && v <= high).length).toBeGreaterThanOrEqual(
            Math.floor(p * sorted.length + 0.5),
          );
          const q = Math.floor(p * sorted.length + 0.5);
          for (let r = 0; r + q < sorted.length; r++)
            expect(sorted[r + q]! - sorted[r]!).toBeGreaterThanOrEqual(high - low);
        },
      ),
      { seed: 5, numRuns: 200 },
    );
  });
});

describe("Monte Carlo", () => {
  it("agrees with the closed form of a sum of normals within its own standard errors", () => {
    const result = monteCarlo(sum, NORMALS, { trials: 400_000 });
    const u = Math.sqrt(12);
    const errors = result.standardErrors!;
    expect(Math.abs(result.estimate - 3)).toBeLessThan(4 * errors.estimate);
    expect(Math.abs(result.standardUncertainty - u)).toBeLessThan(4 * errors.standardUncertainty);
    expect(Math.abs(result.symmetric[1] - 3 - u * normalQuantile(0.975))).toBeLessThan(
      4 * errors.symmetric[1],
    );
    expect(errors.estimate).toBeGreaterThan((0.5 * u) / Math.sqrt(400_000));
    expect(errors.estimate).toBeLessThan((2 * u) / Math.sqrt(400_000));
    expect([result.trials, result.values.length, result.status]).toEqual([400_000, 400_000, "fixed"]);
    expect(result.values.every((v, i, all) => i === 0 || all[i - 1]! <= v)).toBe(true);
  });

  it("draws correlated normals together, and exactly together at r = 1", () => {
    const difference = (r: number) =>
      monteCarlo((x) => x[0]! - x[2]!, NORMALS, {
        trials: 50_000,
        correlations: [{ between: ["a", "c"], coefficient: r }],
      });
    for (const r of [0.6, -0.6]) {
      const { standardUncertainty, standardErrors } = difference(r);
      expect(Math.abs(standardUncertainty - Math.sqrt(8 * (1 - r)))).toBeLessThan(
        4 * standardErrors!.standardUncertainty,
      );
    }
    expect(difference(1).standardUncertainty).toBeLessThan(1e-12);
  });

  it("is the same for the same seed and another for another", () => {
    const run = (seed: number) => monteCarlo(sum, NORMALS, { trials: 1000, seed }).estimate;
    expect(run(3)).toBe(run(3));
    expect(run(3)).not.toBe(run(4));
    expect(monteCarlo(sum, NORMALS, { trials: 1000 }).standardErrors).toBeNull();
  });

  it("refuses a trial without a number, a correlation without a joint distribution, and too few trials", () => {
    expect(() => monteCarlo((x) => Math.sqrt(x[0]!), NORMALS, { trials: 1000 })).toThrow(
      /no number in a trial; .*inputs -/,
    );
    const inputs = [input("a", 0, 1), { name: "b", distribution: rectangular(0, 1) }];
    expect(() =>
      monteCarlo(sum, inputs, { correlations: [{ between: ["a", "b"], coefficient: 0.2 }] }),
    ).toThrow(/not normal; .*; got rectangular; in b/);
    expect(() => monteCarlo(sum, NORMALS, { trials: 10 })).toThrow(/from 100/);
  });
});

describe("several outputs of the same trials", () => {
  it("agree with the law of propagation in spread and correlation, and with the single-output run bit by bit", () => {
    const model = ([a, b]: Float64Array) => [a! + b!, a! - 2 * b!, 7];
    const trials = 40_000;
    const joint = jointMonteCarlo(model, NORMALS, { trials });
    const law = jointPropagation(model, NORMALS);
    expect(joint.outputs[0]!.estimate).toBe(monteCarlo((x) => model(x)[0]!, NORMALS, { trials }).estimate);
    for (const i of [0, 1])
      expect(
        Math.abs(joint.outputs[i]!.standardUncertainty / law.standardUncertainties[i]! - 1),
      ).toBeLessThan(4 / Math.sqrt(2 * trials));
    const r = law.correlation[0]![1]!;
    expect(Math.abs(joint.correlation[0]![1]! - r)).toBeLessThan((4 * (1 - r * r)) / Math.sqrt(trials));
    expect(joint.correlation[0]![2]).toBeNaN();
    expect(() => jointMonteCarlo(() => [1, Number.NaN], NORMALS, { trials: 100 })).toThrow(
      /got NaN; in output 2/,
    );
    expect(() => jointMonteCarlo(model, NORMALS, { trials: 1 })).toThrow(/from 100/);
  });
});

describe("adaptive Monte Carlo", () => {
  it("stops once two digits are stable, and its result is right to that tolerance", () => {
    const inputs = [
      { name: "a", distribution: rectangular(-1, 1) },
      { name: "b", distribution: rectangular(-1, 1) },
    ];
    const result = adaptiveMonteCarlo(sum, inputs);
    expect(result.status).toBe("stable");
    expect(result.tolerance).toBe(0.005);
    expect(Math.abs(result.standardUncertainty - Math.sqrt(2 / 3))).toBeLessThan(result.tolerance);
    expect(Math.abs(result.symmetric[1] - (2 - Math.sqrt(0.2)))).toBeLessThan(result.tolerance);
    expect(result.trials % 10_000).toBe(0);
    expect(2 * result.standardErrors!.symmetric[1]).toBeLessThan(result.tolerance);
  });

  it("needs about nine times the trials for a third of the tolerance, and says when it was stopped", () => {
    const two = adaptiveMonteCarlo(sum, NORMALS, { significantDigits: 2 });
    const finer = adaptiveMonteCarlo(sum, NORMALS, { significantDigits: 2, divideTolerance: 3 });
    expect(finer.trials).toBeGreaterThan(4 * two.trials);
    const stopped = adaptiveMonteCarlo(sum, NORMALS, { significantDigits: 4, mostTrials: 50_000 });
    expect([stopped.status, stopped.trials]).toEqual(["not stable", 50_000]);
    expect(stopped.sentence).toMatch(/^Not stable to ±0.0005 after 50000 trials/);
    expect(() => adaptiveMonteCarlo(sum, NORMALS, { mostTrials: 100 })).toThrow(/two blocks of 10000/);
  });

  it("a constant output is stable at once", () => {
    const result = adaptiveMonteCarlo(() => 4, NORMALS);
    expect([result.status, result.estimate, result.standardUncertainty, result.trials]).toEqual([
      "stable",
      4,
      0,
      20_000,
    ]);
  });
});

describe("numerical tolerance", () => {
  it("is half a unit of the last digit kept, also across a power of ten", () => {
    const cases: [number, number, number][] = [
      [0.00035, 2, 0.5e-5],
      [0.00035, 1, 0.5e-4],
      [2, 1, 0.5],
      [2, 2, 0.05],
      [9.96, 2, 0.5],
      [10, 2, 0.5],
      [123, 1, 50],
    ];
    for (const [u, digits, delta] of cases) expect(numericalTolerance(u, digits) / delta).toBeCloseTo(1, 12);
    expect(() => numericalTolerance(0, 2)).toThrow(/must be positive/);
    expect(() => numericalTolerance(1, 0)).toThrow(/1 to 4/);
  });
});

describe("may the first order be trusted?", () => {
  it("yes for a sum of normals, no for a square near zero or one dominant rectangle", () => {
    expect(checkFirstOrder(sum, NORMALS).status).toBe("trusted");
    const square = checkFirstOrder((x) => x[0]! ** 2, [input("a", 0.5, 1)]);
    expect(square.status).toBe("not trusted");
    expect(square.sentence).toMatch(/may not be trusted here/);
    const dominant = [
      { name: "a", distribution: rectangular(-10, 10) },
      { name: "b", distribution: rectangular(-1, 1) },
    ];
    expect(checkFirstOrder(sum, dominant).status).toBe("not trusted");
  });

  it("counts few readings the same in both methods: one scaled t is trusted", () => {
    const one = [{ name: "a", distribution: studentT(2, 0.1, 8) }];
    expect(checkFirstOrder((x) => x[0]!, one).status).toBe("trusted");
  });

  it("is undecided when stopped with the difference within its own doubt of the tolerance", () => {
    // Normal plus rectangle ±a: the distribution function in closed form, and the a at which the ends differ by just δ.
    const integral = (x: number) => x * normalCdf(x) + normalPdf(x);
    const cdf = (x: number, a: number) => (integral(x + a) - integral(x - a)) / (2 * a);
    const bisect = (f: (x: number) => number, from: number, to: number) => {
      let [lo, hi] = [from, to];
      for (let k = 0; k < 60; k++) {
        const middle = (lo + hi) / 2;
        if (f(middle) < 0) lo = middle;
        else hi = middle;
      }
      return lo;
    };
    const end = (a: number) => bisect((x) => cdf(x, a) - 0.975, 0, 20);
    const u = (a: number) => Math.sqrt(1 + (a * a) / 3);
    const a = bisect((half) => normalQuantile(0.975) * u(half) - end(half) - 0.05, 0.5, 10);
    expect(numericalTolerance(u(a), 2)).toBeCloseTo(0.05, 12);
    const inputs = [input("a", 0, 1), { name: "b", distribution: rectangular(-a, a) }];
    const stopped = checkFirstOrder(sum, inputs, { significantDigits: 2, mostTrials: 20_000, seed: 2 });
    expect([stopped.monteCarlo.status, stopped.status]).toEqual(["not stable", "undecided"]);
    expect(stopped.sentence).toMatch(/^Undecided, more trials/);
  });
});
