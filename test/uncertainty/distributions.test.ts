import { describe, expect, it } from "vitest";
import { gaussLegendre } from "../../src/core/numeric/quadrature.js";
import { createStream } from "../../src/core/numeric/random-stream.js";
import {
  arcSine,
  curvilinearTrapezoid,
  type Distribution,
  normal,
  rectangular,
  studentT,
  trapezoidal,
  triangular,
} from "../../src/uncertainty/distributions.js";

const ALL: Record<string, Distribution> = {
  normal: normal(3, 0.2),
  rectangular: rectangular(-1, 4),
  triangular: triangular(2, 3),
  trapezoidal: trapezoidal(10, 14, 0.4),
  "curvilinear trapezoid": curvilinearTrapezoid(-2, 2, 0.5),
  "arc sine": arcSine(-0.5, 0.5),
  "Student t": studentT(1, 0.1, 9),
};

/** ∫₀¹ g(quantile(p)) dp, with p = sin²(πs/2) to tame the ends. */
function expectation({ quantile }: Distribution, g: (x: number) => number): number {
  const { nodes, weights } = gaussLegendre(64);
  let sum = 0;
  for (let half = 0; half < 2; half++)
    nodes.forEach((node, i) => {
      const s = (half + (node + 1) / 2) / 2;
      const p = Math.sin((Math.PI * s) / 2) ** 2;
      sum += (weights[i]! / 4) * g(quantile(p)) * (Math.PI / 2) * Math.sin(Math.PI * s);
    });
  return sum;
}

describe("input distributions", () => {
  it.each(Object.entries(ALL))(
    "%s: the quantile has the stated expectation and standard deviation",
    (_, d) => {
      expect(expectation(d, () => 1)).toBeCloseTo(1, 10);
      expect(expectation(d, (x) => x)).toBeCloseTo(d.estimate, 6);
      expect(Math.sqrt(expectation(d, (x) => (x - d.estimate) ** 2)) / d.standardDeviation).toBeCloseTo(1, 3);
    },
  );

  it.each(Object.entries(ALL))("%s: draws fall below each quantile as often as they should", (_, d) => {
    const stream = createStream(11);
    const n = 40_000;
    const values = Float64Array.from({ length: n }, () => d.draw(stream)).sort();
    for (const p of [0.01, 0.1, 0.3, 0.5, 0.75, 0.95, 0.995]) {
      const limit = d.quantile(p);
      const below = values.filter((v) => v < limit).length / n;
      expect(Math.abs(below - p) / Math.sqrt((p * (1 - p)) / n)).toBeLessThan(4);
    }
    expect(values[0]).toBeGreaterThanOrEqual(d.support[0]);
    expect(values.at(-1)).toBeLessThanOrEqual(d.support[1]);
  });

  it("negative control: the same count tells a triangle from a rectangle of equal spread", () => {
    const stream = createStream(12);
    const wrong = rectangular(-Math.sqrt(3), Math.sqrt(3));
    const right = triangular(-Math.sqrt(6), Math.sqrt(6));
    const n = 40_000;
    const below =
      Array.from({ length: n }, () => wrong.draw(stream)).filter((v) => v < right.quantile(0.1)).length / n;
    expect(Math.abs(below - 0.1) / Math.sqrt(0.09 / n)).toBeGreaterThan(4);
  });

  it("quantiles rise, meet their support at the ends and their estimate in the middle", () => {
    for (const d of Object.values(ALL)) {
      let last = -Infinity;
      for (let k = 1; k < 200; k++) {
        const x = d.quantile(k / 200);
        expect(x).toBeGreaterThan(last);
        last = x;
      }
      expect(d.quantile(0.5)).toBeCloseTo(d.estimate, 12);
      if (Number.isFinite(d.support[0])) {
        expect(d.quantile(1e-12)).toBeCloseTo(d.support[0], 4);
        expect(d.quantile(1 - 1e-12)).toBeCloseTo(d.support[1], 4);
      }
    }
  });

  it("a trapezoid turns into the triangle and the rectangle at its ends", () => {
    for (const p of [0.03, 0.4, 0.9]) {
      expect(trapezoidal(0, 2, 0).quantile(p)).toBeCloseTo(triangular(0, 2).quantile(p), 14);
      expect(trapezoidal(0, 2, 1).quantile(p)).toBeCloseTo(2 * p, 14);
    }
    expect(studentT(0, 2, Infinity).standardDeviation).toBe(2);
    expect(studentT(0, 2, 2).standardDeviation).toBe(Infinity);
  });

  it("refuses what is no distribution", () => {
    expect(() => rectangular(2, 1)).toThrow(
      /reversed, equal or infinite; low < high, both finite; got \[2, 1\]; in rectangular/,
    );
    expect(() => triangular(1, 1)).toThrow(RangeError);
    expect(() => arcSine(0, Infinity)).toThrow(RangeError);
    expect(() => trapezoidal(0, 1, 1.2)).toThrow(/0 ≤ beta ≤ 1/);
    expect(() => curvilinearTrapezoid(0, 1, 0.5)).toThrow(/0 < d < \(high − low\)\/2/);
    expect(() => normal(0, -1)).toThrow(/≥ 0/);
    expect(() => normal(Number.NaN, 1)).toThrow(/finite/);
    expect(() => studentT(0, 0, 3)).toThrow(/> 0/);
    expect(() => studentT(0, 1, -3)).toThrow(/> 0/);
  });
});
