import { describe, expect, it } from "vitest";
import {
  choleskyInPlace,
  choleskySolveInPlace,
  downwardCurvature,
} from "../../../src/core/numeric/linear-algebra.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";

const stream = createStream(31);

/** MᵀM + shift·I of a random square M, row-major. */
function gram(n: number, shift: number): Float64Array {
  const m = stream.fill(new Float64Array(n * n));
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) {
      for (let k = 0; k < n; k++) out[i * n + j]! += m[k * n + i]! * m[k * n + j]!;
      if (i === j) out[i * n + j]! += shift;
    }
  return out;
}

const times = (a: Float64Array, n: number, x: Float64Array): Float64Array =>
  x.map((_, i) => x.reduce((sum, xj, j) => sum + a[i * n + j]! * xj, 0));
const dot = (a: Float64Array, b: Float64Array): number => a.reduce((sum, x, i) => sum + x * b[i]!, 0);

describe("Cholesky", () => {
  it("gives the factor of a matrix worked by hand", () => {
    // (4 2; 2 5) = (2 0; 1 2)(2 1; 0 2).
    const a = Float64Array.of(4, 2, 2, 5);
    expect(choleskyInPlace(a, 2)).toBe(true);
    expect([a[0], a[2], a[3]]).toEqual([2, 1, 2]);
  });

  it("solves", () => {
    for (const n of [1, 2, 5, 21]) {
      const a = gram(n, 0.1);
      const x = stream.fill(new Float64Array(n));
      const b = times(a, n, x);
      expect(choleskyInPlace(a, n)).toBe(true);
      choleskySolveInPlace(a, n, b);
      for (let i = 0; i < n; i++) expect(Math.abs(b[i]! - x[i]!)).toBeLessThan(1e-10);
    }
  });

  it("refuses a matrix that is singular, indefinite or not a number", () => {
    expect(choleskyInPlace(Float64Array.of(1, 1, 1, 1), 2)).toBe(false);
    expect(choleskyInPlace(Float64Array.of(1, 2, 2, 1), 2)).toBe(false);
    expect(choleskyInPlace(Float64Array.of(1, 0, 0, Number.NaN), 2)).toBe(false);
    expect(choleskyInPlace(Float64Array.of(0, 0, 0, 1), 2)).toBe(false);
  });
});

describe("a direction of downward curvature", () => {
  it("is none in a positive definite matrix", () => {
    expect(downwardCurvature(gram(6, 0.1), 6)).toBeNull();
  });

  it("curves down in every indefinite one", () => {
    for (let k = 0; k < 50; k++) {
      const n = 2 + (k % 7);
      const a = gram(n, 0);
      // Enough off one diagonal place to make it indefinite: more than the whole trace.
      const trace = Array.from({ length: n }, (_, i) => a[i * n + i]!).reduce((x, y) => x + y);
      a[(k % n) * (n + 1)]! -= 1.1 * trace;
      const v = downwardCurvature(a.slice(), n)!;
      expect(dot(v, times(a, n, v))).toBeLessThan(0);
      expect(v.some((x) => x === 1)).toBe(true);
    }
  });

  it("is the direction worked by hand", () => {
    // (1 2; 2 1): pivot 1 − 4 = −3 along (−2, 1).
    const a = Float64Array.of(1, 2, 2, 1);
    const v = downwardCurvature(a.slice(), 2)!;
    expect([...v]).toEqual([-2, 1]);
    expect(dot(v, times(a, 2, v))).toBe(-3);
  });
});
