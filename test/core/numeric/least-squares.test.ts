import { describe, expect, it } from "vitest";
import {
  type LeastSquaresProblem,
  leastSquares,
  residualDifferences,
} from "../../../src/core/numeric/least-squares.js";

/** y = a + b·x through (0, 1), (1, 2), (2, 4): by hand a = 5/6, b = 3/2, Σr² = 1/6. */
const POINTS = [
  [0, 1],
  [1, 2],
  [2, 4],
] as const;
const line: LeastSquaresProblem = {
  residuals: ([a, b]) => POINTS.map(([x, y]) => a! + b! * x - y),
  jacobian: () => POINTS.flatMap(([x]) => [1, x]),
  start: [0, 0],
};

describe("a straight line worked by hand", () => {
  it.each([
    ["with slopes", line],
    ["by differences", { residuals: line.residuals, start: line.start }],
  ])("%s", (_, problem) => {
    const fit = leastSquares(problem);
    expect(fit.converged).toBe(true);
    expect(fit.x[0]).toBeCloseTo(5 / 6, 10);
    expect(fit.x[1]).toBeCloseTo(3 / 2, 10);
    expect(fit.sumOfSquares).toBeCloseTo(1 / 6, 12);
    expect(fit.degreesOfFreedom).toBe(1);
    expect(fit.residualStandardDeviation).toBeCloseTo(Math.sqrt(1 / 6), 12);
    // (JᵀJ)⁻¹ = (5/6 −1/2; −1/2 1/2).
    const byHand = [5 / 36, -1 / 12, -1 / 12, 1 / 12];
    for (const [k, value] of byHand.entries()) expect(fit.covariance![k]).toBeCloseTo(value, 10);
    expect(fit.standardDeviations![1]).toBeCloseTo(Math.sqrt(1 / 12), 10);
  });
});

describe("what the data do not say", () => {
  it("is no covariance, and is said, where only a sum of unknowns shows", () => {
    const fit = leastSquares({
      residuals: ([a, b]) => [a! + b! - 1, a! + b! - 2, a! + b! - 6],
      jacobian: () => [1, 1, 1, 1, 1, 1],
      start: [0, 10],
    });
    expect(fit.converged).toBe(true);
    expect(fit.x[0]! + fit.x[1]!).toBeCloseTo(3, 9);
    expect([fit.covariance, fit.standardDeviations]).toEqual([null, null]);
    expect(fit.sentence).toMatch(/^Ended .* The data do not determine every unknown\.$/);
  });

  it("is the scatter, where there are no more data than unknowns", () => {
    const fit = leastSquares({ residuals: ([a, b]) => [a! - 1, a! + b! - 3], start: [5, 5] });
    expect(fit.x[1]).toBeCloseTo(2, 10);
    expect(fit.residualStandardDeviation).toBeNaN();
    expect(fit.covariance).toBeNull();
    expect(fit.sentence).toMatch(/no more data than unknowns, so nothing tells the scatter\.$/);
  });

  it("is not decided by the unknowns' units", () => {
    // Columns 1e-14 and 1e14: a rank judged on them as they stand would drop the small one.
    const fit = leastSquares({
      residuals: ([a, b]) => POINTS.map(([x, y]) => 1e-14 * a! + 1e14 * b! * x - y),
      jacobian: () => POINTS.flatMap(([x]) => [1e-14, 1e14 * x]),
      start: [0, 0],
    });
    expect(fit.x[0]! * 1e-14).toBeCloseTo(5 / 6, 10);
    expect(fit.standardDeviations![0]! * 1e-14).toBeCloseTo(Math.sqrt(5 / 36), 10);
    expect(fit.standardDeviations![1]! * 1e14).toBeCloseTo(Math.sqrt(1 / 12), 10);
  });
});

/*
 * Sums of exponentials on x = 0, 0.05 … 1.15, the classic hard case (C. Lanczos, Applied Analysis, 1956): six unknowns, columns nearly dependent, residuals of rounding
 * only. The truth is what the data are computed from; ours must share eight digits with it.
 */
describe("three exponentials from data without noise", () => {
  const TRUTH = [0.0951, 1, 0.8607, 3, 1.5576, 5];
  const xs = Array.from({ length: 24 }, (_, i) => i / 20);
  const value = (b: ArrayLike<number>, x: number) =>
    b[0]! * Math.exp(-b[1]! * x) + b[2]! * Math.exp(-b[3]! * x) + b[4]! * Math.exp(-b[5]! * x);
  const residuals = (b: Float64Array) => xs.map((x) => value(b, x) - value(TRUTH, x));
  const jacobian = (b: Float64Array) =>
    xs.flatMap((x) =>
      [0, 2, 4].flatMap((k) => {
        const decay = Math.exp(-b[k + 1]! * x);
        return [decay, -b[k]! * x * decay];
      }),
    );

  it.each([[[1.2, 0.3, 5.6, 5.5, 6.5, 7.6]], [[0.5, 0.7, 3.6, 4.2, 4, 6.3]]])(
    "from %j, with slopes and by differences",
    (start) => {
      for (const problem of [
        { residuals, jacobian, start },
        { residuals, start },
      ]) {
        const { x, converged } = leastSquares(problem);
        expect(converged).toBe(true);
        for (const [k, truth] of TRUTH.entries()) expect(Math.abs(x[k]! / truth - 1)).toBeLessThan(1e-8);
      }
    },
  );
});

describe("errors", () => {
  it("name a start without a value, and slopes that do not fit", () => {
    expect(() => leastSquares({ residuals: ([x]) => [Math.log(x!)], start: [-1] })).toThrow(
      /no finite value/,
    );
    expect(() => leastSquares({ ...line, jacobian: () => [1, 2] })).toThrow(/3 × 2; got 2/);
  });

  it("a wrong Jacobian does not pass for a fit: a negative control", () => {
    const exponential: LeastSquaresProblem = {
      residuals: ([a, b]) => POINTS.map(([x, y]) => a! * Math.exp(b! * x) - y),
      jacobian: ([a, b]) => POINTS.flatMap(([x]) => [Math.exp(b! * x), -a! * x * Math.exp(b! * x)]),
      start: [1, 0.1],
    };
    expect(leastSquares(exponential).converged).toBe(false);
    expect(leastSquares({ residuals: exponential.residuals, start: [1, 0.1] }).converged).toBe(true);
  });
});

const slopes = (f: (x: Float64Array) => number[], ...points: number[][]): Float64Array => {
  const differences = residualDifferences(f);
  let last = new Float64Array(0);
  for (const point of points) {
    const x = Float64Array.from(point);
    last = Float64Array.from(differences(x, f(x)));
  }
  return last;
};

describe("differences of residuals", () => {
  it("agree with the slopes to eleven digits, whatever the unknowns' sizes", () => {
    for (const unit of [1e-9, 1, 1e12]) {
      const f = ([a, b]: Float64Array) => [Math.exp(a! / unit) * b!, Math.sin(b!) + a! / unit];
      const [x, y] = [0.7, 2];
      const ours = slopes(f, [x * unit, y]);
      const known = [Math.exp(x) * y, Math.exp(x), 1, Math.cos(y)];
      const scaled = [ours[0]! * unit, ours[1]!, ours[2]! * unit, ours[3]!];
      for (const [k, slope] of known.entries()) expect(Math.abs(scaled[k]! / slope - 1)).toBeLessThan(1e-11);
    }
  });

  it("take an unknown of exactly zero for one of about 1", () => {
    expect(slopes(([x]) => [Math.exp(x!)], [0])[0]).toBeCloseTo(1, 11);
  });

  it("remember how large an unknown was when it comes near zero", () => {
    // Beside 1e6 a step of 1e-16 would drown; seen at 2 first, the step is a share of that.
    const f = ([x]: Float64Array) => [1e6 + x! + x! * x!];
    expect(Math.abs(slopes(f, [2], [1e-12])[0]! - 1)).toBeLessThan(1e-5);
    expect(Math.abs(slopes(f, [1e-12])[0]! - 1)).toBeGreaterThan(1e-2);
  });

  it("shorten their step at the edge of where there are values", () => {
    const edge = 1e-5;
    const f = ([x]: Float64Array) => [Math.sqrt(x! - (1 - edge))];
    expect(slopes(f, [1])[0]! / (0.5 / Math.sqrt(edge))).toBeCloseTo(1, 4);
  });

  it("are no number where there is no value at all", () => {
    expect(slopes(() => [Number.NaN], [1])[0]).toBeNaN();
  });
});
