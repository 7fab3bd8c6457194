import { describe, expect, it } from "vitest";
import { gaussLegendre } from "../../../src/core/numeric/quadrature.js";

describe("Gauss–Legendre rule", () => {
  it("integrates every power up to 2n − 1 exactly, and the next one not", () => {
    for (const n of [1, 2, 5, 8, 32]) {
      const { nodes, weights } = gaussLegendre(n);
      const integral = (power: number) => nodes.reduce((sum, x, i) => sum + weights[i]! * x ** power, 0);
      for (let power = 0; power < 2 * n; power++)
        expect(integral(power)).toBeCloseTo(power % 2 === 0 ? 2 / (power + 1) : 0, 14);
      if (n < 10) expect(Math.abs(integral(2 * n) - 2 / (2 * n + 1))).toBeGreaterThan(1e-5);
    }
  });
});
