import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import {
  type Criterion,
  criterionSlopes,
  criterionValue,
  inverseOf,
  rateOf,
} from "../../../src/inference/design/criterion.js";
import { optimalDesign } from "../../../src/inference/design/optimal-design.js";

interface Published {
  readonly polynomialsOnMinusOneToOne: readonly {
    readonly degree: number;
    readonly support: readonly number[];
    readonly determinant: number;
    readonly logDeterminant: number;
    readonly largestVariance: number;
  }[];
  readonly quadratic: {
    readonly inverseDiagonal: readonly number[];
    readonly efficiencies: Readonly<Record<"fiveEquispaced" | "exactFour" | "exactFive", number>>;
  };
}
/** Supports and weights: from memory and recomputed; the theorem: Kiefer and Wolfowitz (1960). Marks stand in the file. */
const published: Published = JSON.parse(
  readFileSync(join(import.meta.dirname, "../../../data/published/d-optimal.json"), "utf8"),
);

const ALL: Criterion = { kind: "all" };
/** Information of one reading of a polynomial at x. */
function pointOf(x: number, degree: number): Float64Array {
  const f = Array.from({ length: degree + 1 }, (_, k) => x ** k);
  return Float64Array.from(f.flatMap((a) => f.map((b) => a * b)));
}
const grid = (points: number): number[] =>
  Array.from({ length: points }, (_, i) => -1 + (2 * i) / (points - 1));
const unit = (p: number): Float64Array =>
  Float64Array.from({ length: p * p }, (_, k) => (k % (p + 1) === 0 ? 1 : 0));

describe("D-optimal designs for polynomials on −1 … 1", () => {
  it.each(published.polynomialsOnMinusOneToOne)("are found for degree $degree", (known) => {
    const { degree, support, logDeterminant, largestVariance } = known;
    const p = degree + 1;
    const xs = [...new Set([...grid(101), ...support])].sort((a, b) => a - b);
    const candidates = xs.map((x) => [pointOf(x, degree)]);
    const { weights, value, bound, converged } = optimalDesign({ unknowns: p, candidates, criterion: ALL });
    expect(converged).toBe(true);
    expect(-value).toBeCloseTo(logDeterminant, 6);
    expect(value - bound).toBeLessThan(1e-6);
    const onSupport = support.map((x) => weights[xs.indexOf(x)]!);
    for (const weight of onSupport) expect(weight).toBeCloseTo(1 / p, 3);
    // Kiefer and Wolfowitz: the variance of the prediction is at most p, and p at the support.
    const sum = new Float64Array(p * p);
    for (const [i, [own]] of candidates.entries())
      for (let k = 0; k < p * p; k++) sum[k]! += weights[i]! * own![k]!;
    const slopes = criterionSlopes([sum], p, ALL)!;
    expect(Math.max(...candidates.map((own) => rateOf(slopes, own)))).toBeCloseTo(largestVariance, 5);
  });

  it("have the published variances and efficiencies for the quadratic", () => {
    const { inverseDiagonal, efficiencies } = published.quadratic;
    const mean = (xs: readonly number[]): Float64Array => {
      const sum = new Float64Array(9);
      for (const x of xs) for (const [k, v] of pointOf(x, 2).entries()) sum[k]! += v / xs.length;
      return sum;
    };
    const best = inverseOf(mean([-1, 0, 1]), 3)!;
    for (const [i, value] of inverseDiagonal.entries()) expect(best[4 * i]!).toBeCloseTo(value, 12);
    const least = criterionValue([mean([-1, 0, 1])], 3, ALL);
    const efficiency = (xs: readonly number[]): number =>
      Math.exp((least - criterionValue([mean(xs)], 3, ALL)) / 3);
    expect(efficiency(grid(5))).toBeCloseTo(efficiencies.fiveEquispaced, 6);
    expect(efficiency([-1, 0, 1, 1])).toBeCloseTo(efficiencies.exactFour, 6);
    expect(efficiency([-1, -1, 0, 1, 1])).toBeCloseTo(efficiencies.exactFive, 6);
  });
});

describe("other criteria", () => {
  it("A-optimal for the quadratic is ¼, ½, ¼ with a trace of 8", () => {
    const xs = grid(41);
    const candidates = xs.map((x) => [pointOf(x, 2)]);
    const criterion: Criterion = { kind: "weighted", weight: unit(3) };
    const { weights, value } = optimalDesign({ unknowns: 3, candidates, criterion });
    expect(value).toBeCloseTo(8, 5);
    expect([weights[0]!, weights[20]!, weights[40]!].map((w) => Number(w.toFixed(3)))).toEqual([
      0.25, 0.5, 0.25,
    ]);
  });

  it("c-optimal for a straight line read beyond its range puts weight as the lever does", () => {
    // Extrapolating to x₀ > 1 from ±1: weights (x₀ ± 1)/(2·x₀), variance x₀² (P. G. Hoel and A. Levine, 1964, from memory; for the line it is Lagrange interpolation).
    const x0 = 2.5;
    const c = [1, x0];
    const weight = Float64Array.from(c.flatMap((a) => c.map((b) => a * b)));
    const candidates = grid(21).map((x) => [pointOf(x, 1)]);
    const { weights, value } = optimalDesign({
      unknowns: 2,
      candidates,
      criterion: { kind: "weighted", weight },
    });
    expect(value).toBeCloseTo(x0 ** 2, 5);
    expect(weights[20]!).toBeCloseTo((x0 + 1) / (2 * x0), 4);
    expect(weights[0]!).toBeCloseTo((x0 - 1) / (2 * x0), 4);
  });

  it("with a prior puts all weight on what the prior knows least", () => {
    // Two unknowns read one by one: precisions a + w and b + (1 − w); tr M⁻¹ is least where both are equal, or at an end.
    const candidates = [[Float64Array.of(1, 0, 0, 0)], [Float64Array.of(0, 0, 0, 1)]];
    const criterion: Criterion = { kind: "weighted", weight: unit(2) };
    const base = (a: number, b: number) => Float64Array.of(a, 0, 0, b);
    const { weights } = optimalDesign({ unknowns: 2, candidates, criterion, base: base(0.2, 0.8) });
    expect(weights[0]!).toBeCloseTo(0.8, 5);
    const lone = optimalDesign({ unknowns: 2, candidates, criterion, base: base(0.2, 3) });
    expect(lone.weights[0]!).toBeCloseTo(1, 9);
  });

  it("averaged over scenarios are no worse than any other weights tried", () => {
    const scenarios = (x: number) => [pointOf(x, 1), pointOf(x ** 2, 1), pointOf(-0.5 * x, 1)];
    const candidates = grid(9).map(scenarios);
    const criterion: Criterion = { kind: "weighted", weight: unit(2) };
    const base = Float64Array.of(0.1, 0, 0, 0.1);
    const { value, bound, weights } = optimalDesign({ unknowns: 2, candidates, criterion, base });
    expect(value - bound).toBeLessThan(1e-6);
    const valueAt = (w: readonly number[]): number => {
      const sums = [0, 1, 2].map((s) => {
        const sum = base.slice();
        for (const [i, own] of candidates.entries())
          for (let k = 0; k < 4; k++) sum[k]! += w[i]! * own[s]![k]!;
        return sum;
      });
      return criterionValue(sums, 2, criterion);
    };
    for (let i = 0; i < 9; i++) {
      const toward = [...weights].map((w, k) => 0.97 * w + (k === i ? 0.03 : 0));
      expect(valueAt(toward)).toBeGreaterThanOrEqual(value - 1e-9);
    }
  });

  it("refuse candidates that leave an unknown undetermined", () => {
    const candidates = [[pointOf(0, 1)]];
    expect(() => optimalDesign({ unknowns: 2, candidates, criterion: ALL })).toThrow(
      /determine every unknown/,
    );
  });
});
