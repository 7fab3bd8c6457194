import { describe, expect, it } from "vitest";
import { normalCdf, normalPdf, normalQuantile } from "../../../src/core/numeric/normal.js";
import { type ChanceAt, cheapestTolerances } from "../../../src/features/tolerances/cheapest-tolerances.js";

/** A gap Σ c·e, every e normal with standard deviation s, closed when it lies within ±limit: everything in closed form. */
const linear =
  (weights: readonly number[], limit: number) =>
  (s: Float64Array): ChanceAt => {
    const variance = weights.reduce((sum, c, i) => sum + (c * s[i]!) ** 2, 0);
    const reach = limit / Math.sqrt(variance);
    return {
      chance: 2 * normalCdf(reach) - 1,
      slopes: () =>
        Float64Array.from(weights, (c, i) => (-2 * normalPdf(reach) * reach * (c * s[i]!) ** 2) / variance),
    };
  };

const RANGE = { finest: 1e-3, loosest: 1e3 };

describe("the cheapest tolerances", () => {
  it("of one source are those that just reach the chance", () => {
    const { status, tolerances, chance } = cheapestTolerances({
      costs: [3],
      wanted: 0.95,
      ...RANGE,
      chanceAt: linear([2], 0.1),
    });
    expect(status).toBe("found");
    expect(tolerances[0]).toBeCloseTo(0.1 / 2 / normalQuantile(0.975), 4);
    expect(Math.abs(chance - 0.95)).toBeLessThan(2e-4);
  });

  it("of several sources go as (a/c²)^(1/3), by Lagrange", () => {
    const costs = [1, 8, 0.5, 2];
    const weights = [1, 0.3, 5, 2];
    const limit = 0.08;
    const wanted = 0.9;
    const { status, tolerances, cost, price } = cheapestTolerances({
      costs,
      wanted,
      ...RANGE,
      chanceAt: linear(weights, limit),
    });
    expect(status).toBe("found");
    const shape = costs.map((a, i) => Math.cbrt(a / weights[i]! ** 2));
    const spread = limit / normalQuantile((1 + wanted) / 2);
    const scale = spread / Math.sqrt(shape.reduce((sum, s, i) => sum + (weights[i]! * s) ** 2, 0));
    for (const [i, s] of shape.entries()) expect(tolerances[i]! / (scale * s)).toBeCloseTo(1, 2);
    const least = costs.reduce((sum, a, i) => sum + a / (scale * shape[i]!), 0);
    expect(cost / least).toBeCloseTo(1, 3);
    // With equal tolerances of the same chance it would cost much more.
    const equal = spread / Math.hypot(...weights);
    expect(costs.reduce((sum, a) => sum + a / equal, 0)).toBeGreaterThan(1.2 * least);
    // The cost goes as one over the spread: d cost / d chance in closed form.
    const reach = limit / spread;
    expect(price / ((0.01 * least) / (2 * normalPdf(reach) * reach))).toBeCloseTo(1, 1);
  });

  it("keep to their bounds, and the rest shares what is left", () => {
    const costs = [1, 1];
    const weights = [1, 1];
    const problem = { costs, wanted: 0.9, chanceAt: linear(weights, 0.1), finest: 0.03, loosest: 0.05 };
    const { tolerances, status } = cheapestTolerances({ ...problem, costs: [100, 1] });
    expect(status).toBe("found");
    expect(tolerances[0]).toBeCloseTo(0.05, 4);
    const spread = 0.1 / normalQuantile(0.95);
    expect(tolerances[1]).toBeCloseTo(Math.sqrt(spread ** 2 - 0.05 ** 2), 4);
  });

  it("are out of reach where the finest do not do", () => {
    const { status, tolerances } = cheapestTolerances({
      costs: [1, 1],
      wanted: 0.999,
      finest: 0.05,
      loosest: 1,
      chanceAt: linear([1, 1], 0.1),
    });
    expect(status).toBe("out of reach");
    expect([...tolerances].every((s) => Math.abs(s - 0.05) < 1e-12)).toBe(true);
  });

  it("leave a source loose that does no harm", () => {
    const { tolerances } = cheapestTolerances({
      costs: [1, 1],
      wanted: 0.9,
      finest: 0.001,
      loosest: 4,
      chanceAt: linear([1, 0], 0.1),
    });
    expect(tolerances[1]).toBeCloseTo(4, 9);
  });

  it("come out the same from any start", () => {
    const problem = { costs: [1, 2, 3], wanted: 0.95, ...RANGE, chanceAt: linear([3, 2, 1], 0.2) };
    const first = cheapestTolerances(problem);
    for (const start of [0.002, 0.1, 50]) {
      const other = cheapestTolerances({ ...problem, start: new Float64Array(3).fill(start) });
      expect(other.status).toBe("found");
      expect(other.cost / first.cost).toBeCloseTo(1, 3);
    }
  });
});
