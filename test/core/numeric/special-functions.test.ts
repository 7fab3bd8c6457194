import { describe, expect, it } from "vitest";
import { incompleteBeta } from "../../../src/core/numeric/special-functions.js";

describe("the incomplete beta function for small parameters", () => {
  it("keeps both tails: one was 0 for 0.81 once", () => {
    for (const [x, a, b] of [
      [0.2, 1e-3, 2.5],
      [0.7, 1e-9, 8],
      [0.3, 0.01, 0.04],
      [1e-6, 0.004, 0.02],
    ] as const) {
      const there = incompleteBeta(x, a, b);
      const back = incompleteBeta(1 - x, b, a, x);
      expect(there.lower + there.upper).toBeCloseTo(1, 14);
      expect(Math.abs(there.upper / back.lower - 1)).toBeLessThan(1e-12 + 1e-16 / a);
    }
    // Nearly all of it lies at 0: I_x(a, b) → b/(a + b) for a, b → 0.
    expect(incompleteBeta(0.5, 1e-9, 4e-9).lower).toBeCloseTo(0.8, 8);
    expect(incompleteBeta(0.5, 4e-9, 1e-9).lower).toBeCloseTo(0.2, 8);
  });

  it("joins the continued fraction at 0.05 without a step", () => {
    for (const x of [0.005, 0.02, 0.5, 0.95]) {
      const [below, above] = [incompleteBeta(x, 0.05 - 1e-9, 0.6), incompleteBeta(x, 0.05 + 1e-9, 0.6)];
      expect(Math.abs(below.upper / above.upper - 1)).toBeLessThan(1e-7);
    }
  });
});
