import { describe, expect, it } from "vitest";
import { residualDifferences } from "../../../src/core/numeric/least-squares.js";

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
