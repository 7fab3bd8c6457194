import { describe, expect, it } from "vitest";
import { constantSlopes } from "../../../src/core/numeric/constant-slopes.js";
import { leastSquares } from "../../../src/core/numeric/least-squares.js";

const X = [0, 1, 2, 3, 4, 5, 6];

describe("slopes of a model that may be linear", () => {
  it("are the columns of a linear one, to rounding, wherever one looks", () => {
    const residuals = ([a, b]: Float64Array) => X.map((x) => a! + b! * x ** 3 - 1e6);
    for (const start of [Float64Array.of(0, 0), Float64Array.of(5, -3)]) {
      const slopes = constantSlopes(residuals, start, residuals(start))!;
      for (const [i, x] of X.entries()) {
        expect(slopes[2 * i]!).toBeCloseTo(1, 12);
        expect(Math.abs(slopes[2 * i + 1]! - x ** 3)).toBeLessThanOrEqual(1e-12 * (1 + x ** 3));
      }
    }
  });

  it.each<[string, (b: Float64Array, x: number) => number]>([
    ["a curve", ([a, b], x) => a! + Math.exp(b! * x)],
    ["straight along each unknown, but in their product", ([a, b], x) => a! * b! * x],
    ["with a kink", ([a, b], x) => a! + Math.abs(b! - 2) * x],
    ["without a value a step away", ([a, b], x) => (b! > 1.1 ? Number.NaN : a! + b! * x)],
  ])("are none for one %s", (_, model) => {
    const residuals = (b: Float64Array) => X.map((x) => model(b, x) - 3);
    const start = Float64Array.of(1, 1);
    expect(constantSlopes(residuals, start, residuals(start))).toBeNull();
  });
});

describe("a fit without slopes", () => {
  /** Fifth degree with residuals 10⁷ times its coefficients: NIST's Wampler5 has one like it. */
  it("of a polynomial with large residuals is that with exact slopes, digit by digit", () => {
    const x = Array.from({ length: 21 }, (_, i) => i);
    const rows = x.map((v) => [1, v, v ** 2, v ** 3, v ** 4, v ** 5]);
    const y = rows.map((row, i) => row.reduce((a, b) => a + b, 0) + (i % 2 === 0 ? 1e5 : -1e5));
    const residuals = (b: Float64Array) =>
      rows.map((row, i) => row.reduce((sum, v, k) => sum + v * b[k]!, 0) - y[i]!);
    const start = new Float64Array(6);
    const plain = leastSquares({ residuals, start });
    const exact = leastSquares({ residuals, start, jacobian: () => rows.flat() });
    expect(plain.converged).toBe(true);
    for (const [k, value] of exact.x.entries()) expect(Math.abs(plain.x[k]! / value - 1)).toBeLessThan(1e-8);
  });

  it("does not say that it converged where differences cannot tell its unknowns apart; with slopes it does", () => {
    const tilt = 1e-10;
    const residuals = ([a, b]: Float64Array) =>
      X.map(
        (x) => Math.exp(a!) * x + Math.exp(b!) * (x + tilt * x * x) - (3 * x + (x % 2 === 0 ? 0.1 : -0.1)),
      );
    const start = Float64Array.of(0.3, 0.4);
    const plain = leastSquares({ residuals, start });
    expect(plain.converged).toBe(false);
    const jacobian = ([a, b]: Float64Array) =>
      X.flatMap((x) => [Math.exp(a!) * x, Math.exp(b!) * (x + tilt * x * x)]);
    expect(leastSquares({ residuals, start, jacobian }).sentence).not.toMatch(/give exact slopes/);
  });
});
