import { describe, expect, it } from "vitest";
import { tQuantile } from "../../src/core/numeric/student-t.js";
import { normal, rectangular } from "../../src/uncertainty/distributions.js";
import { jointPropagation, lawOfPropagation } from "../../src/uncertainty/law-of-propagation.js";
import {
  degreesOfFreedomFromReliability,
  typeA,
  typeACorrelation,
  welchSatterthwaite,
} from "../../src/uncertainty/type-a.js";

const input = (name: string, estimate: number, u: number, nu = Infinity) => ({
  name,
  distribution: normal(estimate, u, nu),
});
const A = input("a", 3, 0.1);
const B = input("b", 4, 0.2);

describe("law of propagation", () => {
  it("finds the gradient of smooth models to near full precision, and takes the caller's", () => {
    const model = (x: Float64Array) => Math.exp(x[0]! / 2) * Math.sin(x[1]!);
    const gradient = (x: Float64Array) => [model(x) / 2, Math.exp(x[0]! / 2) * Math.cos(x[1]!)];
    const ours = lawOfPropagation(model, [A, B]);
    const given = lawOfPropagation(model, [A, B], { gradient });
    for (const name of ["a", "b"]) {
      const of = (result: typeof ours) =>
        result.budget.find((line) => line.name === name)!.sensitivityCoefficient;
      expect(of(ours) / of(given)).toBeCloseTo(1, 11);
    }
    expect(ours.standardUncertainty / given.standardUncertainty).toBeCloseTo(1, 11);
    expect(ours.status).toBe("smooth");
  });

  it("adds independent parts by squares and correlated ones by their signs", () => {
    const sum = (x: Float64Array) => x[0]! + x[1]!;
    const at = (r: number) =>
      lawOfPropagation(sum, [A, B], { correlations: [{ between: ["a", "b"], coefficient: r }] })
        .standardUncertainty;
    expect(lawOfPropagation(sum, [A, B]).standardUncertainty).toBeCloseTo(Math.hypot(0.1, 0.2), 14);
    expect(at(1)).toBeCloseTo(0.3, 12);
    expect(at(-1)).toBeCloseTo(0.1, 12);
    expect(at(0.3)).toBeCloseTo(Math.sqrt(0.05 + 2 * 0.3 * 0.02), 14);
  });

  it("prints a budget largest first whose shares add to one, with a negative share where a correlation cancels", () => {
    const { budget } = lawOfPropagation((x) => x[0]! - x[1]!, [A, B], {
      correlations: [{ between: ["a", "b"], coefficient: 0.9 }],
    });
    expect(budget.map((line) => line.name)).toEqual(["b", "a"]);
    expect(budget.reduce((total, line) => total + line.share, 0)).toBeCloseTo(1, 12);
    expect(budget[1]!.share).toBeLessThan(0);
    expect(budget[0]!.contribution).toBeCloseTo(0.2, 12);
  });

  it("expands by Student's t at the effective degrees of freedom, whole ones if asked", () => {
    const inputs = [input("a", 0, 1, 4), input("b", 0, 1, 9)];
    const result = lawOfPropagation((x) => x[0]! + x[1]!, inputs, { coverageProbability: 0.99 });
    expect(result.degreesOfFreedom).toBeCloseTo(4 / (1 / 4 + 1 / 9), 12);
    expect(result.coverageFactor).toBeCloseTo(tQuantile(0.995, result.degreesOfFreedom), 14);
    expect(result.interval[1] - result.interval[0]).toBeCloseTo(2 * result.expandedUncertainty, 12);
    const whole = lawOfPropagation((x) => x[0]! + x[1]!, inputs, { truncateDegreesOfFreedom: true });
    expect(whole.degreesOfFreedom).toBe(11);
    const exact = lawOfPropagation((x) => x[0]!, [A]);
    expect([exact.degreesOfFreedom, exact.coverageFactor]).toEqual([Infinity, tQuantile(0.975, Infinity)]);
  });

  it("takes the smallest degrees of freedom where the formula for independent inputs does not hold", () => {
    const inputs = [input("a", 0, 1, 4), input("b", 0, 1, 9), input("c", 0, 1, 30)];
    const correlations = [{ between: ["a", "b"], coefficient: 0.5 }] as const;
    expect(lawOfPropagation((x) => x[0]! + x[1]! + x[2]!, inputs, { correlations }).degreesOfFreedom).toBe(4);
    // Correlated inputs that are exactly known count as one such part: u² = 3 + 1, ν = 16·30.
    const known = [input("a", 0, 1), input("b", 0, 1), input("c", 0, 1, 30)];
    expect(
      lawOfPropagation((x) => x[0]! + x[1]! + x[2]!, known, { correlations }).degreesOfFreedom,
    ).toBeCloseTo(480, 6);
  });

  it("says where there is no one slope: a joint that just closes", () => {
    const gap = (x: Float64Array) => Math.max(0, x[0]!);
    const closed = lawOfPropagation(gap, [input("shortfall", 0, 0.1)]);
    expect([closed.status, closed.kinks]).toEqual(["kinked", ["shortfall"]]);
    expect(closed.sentence).toMatch(/slope jumps .*shortfall.* use Monte Carlo/);
    expect(lawOfPropagation(gap, [input("shortfall", 0.5, 0.1)]).status).toBe("smooth");
    // Strong curvature is no kink.
    expect(lawOfPropagation((x) => x[0]! ** 2 + x[0]!, [input("a", 0, 5)]).status).toBe("smooth");
    expect(lawOfPropagation((x) => x[0]! ** 2, [input("a", 0, 1)]).status).toBe("flat");
    // Nor is rounding under a large offset.
    expect(lawOfPropagation((x) => 1e9 + Math.sin(x[0]!), [input("a", 0, 1e-3)]).status).toBe("smooth");
    expect(lawOfPropagation((x) => 1e3 + Math.abs(x[0]!), [input("a", 0, 1e-3)]).status).toBe("kinked");
  });

  it("stays inside the model's range where one standard uncertainty would leave it", () => {
    const { budget } = lawOfPropagation((x) => Math.sqrt(x[0]!), [input("a", 0.01, 0.1)]);
    expect(budget[0]!.sensitivityCoefficient).toBeCloseTo(5, 6);
  });

  it("an input with no uncertainty still shows its sensitivity", () => {
    const { budget, standardUncertainty } = lawOfPropagation((x) => x[0]! * x[1]!, [A, input("c", 7, 0)]);
    expect(budget[1]!.sensitivityCoefficient).toBeCloseTo(3, 9);
    expect(standardUncertainty).toBeCloseTo(0.7, 10);
  });
});

describe("second-order terms", () => {
  it("are exact for a quadratic of normal inputs, correlated too", () => {
    for (const r of [0, 0.9, -0.5]) {
      const [x, u] = [0.01, 0.005];
      const { secondOrder, standardUncertainty } = lawOfPropagation(
        ([a, b]) => a! * a! + b! * b!,
        [input("a", x, u), input("b", 0, u)],
        { secondOrder: true, correlations: [{ between: ["a", "b"], coefficient: r }] },
      );
      expect(standardUncertainty / Math.sqrt(4 * x * x * u * u + 4 * u ** 4 * (1 + r * r))).toBeCloseTo(1, 9);
      expect(secondOrder!.shift / (2 * u * u)).toBeCloseTo(1, 9);
    }
  });

  it("include the third derivative: x³ has u² = 9x⁴u² + 36x²u⁴ to this order", () => {
    const [x, u] = [2, 0.1];
    const { standardUncertainty } = lawOfPropagation((v) => v[0]! ** 3, [input("a", x, u)], {
      secondOrder: true,
    });
    expect(standardUncertainty / Math.sqrt(9 * x ** 4 * u ** 2 + 36 * x ** 2 * u ** 4)).toBeCloseTo(1, 8);
  });

  it("are nothing for a straight model, and named largest first for a product", () => {
    expect(
      lawOfPropagation((x) => 1e6 + 3 * x[0]! - x[1]!, [A, B], { secondOrder: true }).secondOrder!.terms,
    ).toEqual([]);
    const { secondOrder } = lawOfPropagation(([a, b, c]) => a! * b! + b! * c!, [A, B, input("c", 0, 3)], {
      secondOrder: true,
    });
    expect(secondOrder!.terms.map((term) => term.inputs.join())).toEqual(["b,c", "a,b"]);
    expect(secondOrder!.terms[0]!.standardUncertainty).toBeCloseTo(0.6, 8);
  });

  it("say so when they make the variance negative", () => {
    const result = lawOfPropagation((x) => Math.sin(x[0]!), [input("a", 0.3, 3)], { secondOrder: true });
    expect(result.standardUncertainty).toBeNaN();
    expect(result.sentence).toMatch(/too curved; use Monte Carlo/);
  });
});

describe("several outputs", () => {
  it("keep the correlation that shared inputs give them", () => {
    const joint = jointPropagation(([a, b]) => [a! + b!, a! - b!, 2 * a!], [A, B]);
    expect(joint.estimates).toEqual([7, -1, 6]);
    expect(joint.correlation[0]![1]).toBeCloseTo((0.01 - 0.04) / 0.05, 12);
    expect(joint.correlation[0]![2]).toBeCloseTo(0.1 / Math.hypot(0.1, 0.2), 12);
    expect(joint.covariance[2]![2]).toBeCloseTo(0.04, 12);
  });
});

describe("degrees of freedom and repeated readings", () => {
  it("Welch–Satterthwaite stays between the smallest ν and the sum, and ignores parts of no size", () => {
    const parts = [
      { standardUncertainty: 2e-200, degreesOfFreedom: 3 },
      { standardUncertainty: 1e-200, degreesOfFreedom: 7 },
    ];
    const nu = welchSatterthwaite(parts);
    expect(nu).toBeCloseTo(25 / (16 / 3 + 1 / 7), 12);
    expect(welchSatterthwaite([...parts, { standardUncertainty: 0, degreesOfFreedom: 1 }])).toBe(nu);
    expect(welchSatterthwaite([])).toBe(Infinity);
    expect(degreesOfFreedomFromReliability(0.25)).toBe(8);
  });

  it("Type A is exact on a shifted ramp, whatever the offset", () => {
    for (const offset of [0, 1e9]) {
      const { mean, standardDeviation, standardUncertainty, degreesOfFreedom } = typeA(
        [1, 2, 3, 4, 5].map((x) => x + offset),
      );
      expect([mean - offset, standardDeviation, degreesOfFreedom]).toEqual([3, Math.sqrt(2.5), 4]);
      expect(standardUncertainty).toBeCloseTo(Math.sqrt(0.5), 15);
    }
    expect(typeACorrelation([1, 2, 3], [2, 4, 6])).toBe(1);
    expect(typeACorrelation([1, 2, 3], [1, -2, 1])).toBeCloseTo(0, 15);
    expect(() => typeA([1])).toThrow(/needs two or more/);
    expect(() => typeACorrelation([1, 2], [1, 2, 3])).toThrow(/one value a row; got 2 and 3/);
    expect(() => typeACorrelation([1, 1], [1, 2])).toThrow(/no scatter/);
  });
});

describe("contradictory input", () => {
  const f = (x: Float64Array) => x[0]!;
  const pair = (a: string, b: string, coefficient: number) => ({ between: [a, b] as const, coefficient });
  it("is refused with its place", () => {
    expect(() => lawOfPropagation(f, [])).toThrow(/no inputs/);
    expect(() => lawOfPropagation(f, [A, A])).toThrow(/used twice; names must differ; got a/);
    expect(() => lawOfPropagation(f, [A, B], { correlations: [pair("a", "z", 0)] })).toThrow(
      /names no input; one of a, b; got z/,
    );
    expect(() => lawOfPropagation(f, [A, B], { correlations: [pair("a", "a", 0)] })).toThrow(/with itself/);
    expect(() => lawOfPropagation(f, [A, B], { correlations: [pair("a", "b", 1.01)] })).toThrow(
      /−1 ≤ r ≤ 1; got 1.01/,
    );
    expect(() =>
      lawOfPropagation(f, [A, B], { correlations: [pair("a", "b", 0), pair("b", "a", 0)] }),
    ).toThrow(/given twice/);
    const three = [A, B, input("c", 0, 1)];
    const impossible = [pair("a", "b", 0.9), pair("b", "c", 0.9), pair("a", "c", -0.9)];
    expect(() => lawOfPropagation(f, three, { correlations: impossible })).toThrow(/contradict each other/);
    expect(() =>
      lawOfPropagation(f, three, {
        correlations: [pair("a", "b", 1), pair("a", "c", 0.2), pair("b", "c", -0.2)],
      }),
    ).toThrow(/contradict/);
    expect(() => lawOfPropagation(() => Number.NaN, [A])).toThrow(/no number at the estimates/);
    expect(() => lawOfPropagation((x) => Math.sqrt(x[0]!), [input("a", 0, 1)])).toThrow(/no slope .* in a$/);
    expect(() => lawOfPropagation(f, [A], { coverageProbability: 1 })).toThrow(/between 0 and 1/);
    expect(() => lawOfPropagation(f, [A, B], { gradient: () => [1] })).toThrow(/wrong length/);
  });

  it("uses the rectangular distribution's own spread", () => {
    const result = lawOfPropagation(f, [{ name: "a", distribution: rectangular(-1, 1) }]);
    expect(result.standardUncertainty).toBeCloseTo(1 / Math.sqrt(3), 12);
  });
});
