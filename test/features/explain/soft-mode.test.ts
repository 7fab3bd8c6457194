import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { Nearby } from "../../../src/features/explain/soft-mode.js";

const CENTRE = Float64Array.of(0.4, -0.2, 0.1);
/** Two readings of three unknowns. */
const A = Float64Array.of(2, -1, 0.5, 0, 1.5, 1);
const nearby = new Nearby(CENTRE, A, 2);

/** I + AᵀA by hand, row by row. */
const PRECISION = [
  [5, -2, 1],
  [-2, 1 + 1 + 2.25, -0.5 + 1.5],
  [1, -0.5 + 1.5, 1 + 0.25 + 1],
] as const;

describe("a normal about a mode", () => {
  it("solves (I + AᵀA)x = v", () => {
    const x = nearby.solve(Float64Array.of(1, 2, -3));
    for (const [i, row] of PRECISION.entries()) {
      expect(row.reduce((sum, p, k) => sum + p * x[k]!, 0)).toBeCloseTo([1, 2, -3][i]!, 12);
    }
  });

  it("has ½ log det(I + AᵀA)", () => {
    const [[a, b, c], [d, e, f], [g, h, i]] = PRECISION;
    const det = a * (e * i - f * h) - b * (d * i - f * g) + c * (d * h - e * g);
    expect(nearby.halfLogDeterminant).toBeCloseTo(Math.log(det) / 2, 12);
  });

  // Mean of p/q over draws from q is 1 for any density p that q covers; 20,000 draws, width 5 standard errors.
  it("draws with the density it states", () => {
    const stream = createStream(5);
    const p = (z: Float64Array): number => -2 * z.reduce((sum, v, k) => sum + (v - CENTRE[k]!) ** 2, 0);
    const ratios = Array.from({ length: 20_000 }, () => {
      const z = nearby.draw(stream);
      // p has precision 4 in each of three unknowns: its normalisation is 4^(3/2) against the dropped constant.
      return Math.exp(p(z) + 1.5 * Math.log(4) - nearby.logDensity(z));
    });
    const mean = ratios.reduce((a, b) => a + b, 0) / ratios.length;
    const spread = Math.sqrt(ratios.reduce((sum, r) => sum + (r - mean) ** 2, 0) / ratios.length ** 2);
    expect(Math.abs(mean - 1)).toBeLessThan(5 * spread);
    expect(spread).toBeLessThan(0.02);
  });
});
