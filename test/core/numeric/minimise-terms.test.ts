import { describe, expect, it } from "vitest";
import { minimiseTerms, type Terms } from "../../../src/core/numeric/minimise-terms.js";

/** Terms ½r² of residuals and their slopes. */
const squares = (residuals: readonly number[], jacobian: readonly number[]): Terms => ({
  value: residuals.reduce((sum, r) => sum + (r * r) / 2, 0),
  slope: Float64Array.from(residuals),
  curvature: new Float64Array(residuals.length).fill(1),
  jacobian: Float64Array.from(jacobian),
});

const rosenbrock = ([x, y]: Float64Array): Terms =>
  squares([10 * (y! - x! * x!), 1 - x!], [-20 * x!, 10, -1, 0]);

/** Powell's function: at its minimum, 0, two of the four columns vanish. */
const powell = ([a, b, c, d]: Float64Array): Terms => {
  const [r5, r10] = [Math.sqrt(5), Math.sqrt(10)];
  const [p, q] = [b! - 2 * c!, a! - d!];
  return squares(
    [a! + 10 * b!, r5 * (c! - d!), p * p, r10 * q * q],
    [...[1, 10, 0, 0], ...[0, 0, r5, -r5], ...[0, 2 * p, -4 * p, 0], ...[2 * r10 * q, 0, 0, -2 * r10 * q]],
  );
};

/** −log likelihood of Poisson counts of mean exp(θ), but for constants: its least is at the log of their mean. */
const poisson =
  (counts: readonly number[]) =>
  ([theta]: Float64Array): Terms => {
    const mean = Math.exp(theta!);
    return {
      value: counts.reduce((sum, y) => sum + mean - y * theta!, 0),
      slope: Float64Array.from(counts, (y) => mean - y),
      curvature: new Float64Array(counts.length).fill(mean),
      jacobian: new Float64Array(counts.length).fill(1),
    };
  };

describe("minimising terms", () => {
  it.each([
    [-1.2, 1],
    [100, -100],
    [1e6, 1e6],
    [0, 0],
  ])("follows Rosenbrock's valley from (%f, %f)", (x, y) => {
    const minimum = minimiseTerms(rosenbrock, [x, y]);
    expect(minimum.converged).toBe(true);
    expect(Math.abs(minimum.x[0]! - 1)).toBeLessThan(1e-10);
    expect(Math.abs(minimum.x[1]! - 1)).toBeLessThan(1e-10);
  });

  it("comes near a minimum that determines only half of the unknowns", () => {
    const { x, terms } = minimiseTerms(powell, [3, -1, 0, 1]);
    expect(terms.value).toBeLessThan(1e-15);
    for (const value of x) expect(Math.abs(value)).toBeLessThan(1e-3);
  });

  it("finds the likelihood's maximum where a formula puts it", () => {
    const counts = [3, 0, 7, 2, 1, 4];
    for (const start of [-8, 0, 1, 30]) {
      const { x, converged } = minimiseTerms(poisson(counts), [start]);
      expect(converged).toBe(true);
      expect(x[0]).toBeCloseTo(Math.log(17 / 6), 10);
    }
  });

  it("does not care for the unknowns' units", () => {
    for (const unit of [1e-12, 1e9]) {
      const scaled = ([x, y]: Float64Array): Terms => {
        const { jacobian, ...rest } = rosenbrock(Float64Array.of(x! / unit, y!));
        return { ...rest, jacobian: jacobian.map((slope, k) => (k % 2 === 0 ? slope / unit : slope)) };
      };
      const here = minimiseTerms(rosenbrock, [-1.2, 1]);
      const there = minimiseTerms(scaled, [-1.2 * unit, 1]);
      expect(there.steps).toBe(here.steps);
      expect(there.x[0]! / unit).toBeCloseTo(1, 10);
    }
  });

  it("listens to no term without curvature", () => {
    const deaf = (x: Float64Array): Terms => {
      const { value, slope, curvature, jacobian } = rosenbrock(x);
      return {
        value,
        slope: Float64Array.of(...slope, 5),
        curvature: Float64Array.of(...curvature, 0),
        jacobian: Float64Array.of(...jacobian, 7, 7),
      };
    };
    expect(minimiseTerms(deaf, [-1.2, 1]).x[0]).toBeCloseTo(1, 10);
  });

  it("keeps off places without a value, and leaves the start as it was", () => {
    // x·log x − x is least at 1 and has no value at or below 0; Gauss–Newton from 0.01 overshoots to −4.5 or so.
    const wall = ([x]: Float64Array): Terms => ({
      value: x! * Math.log(x!) - x!,
      slope: Float64Array.of(Math.log(x!)),
      curvature: Float64Array.of(1),
      jacobian: Float64Array.of(1),
    });
    for (const start of [0.01, 50]) {
      const from = Float64Array.of(start);
      const { x, converged } = minimiseTerms(wall, from);
      expect(converged).toBe(true);
      expect(x[0]).toBeCloseTo(1, 9);
      expect(from[0]).toBe(start);
    }
  });
});

describe("the verdict", () => {
  const line = ([x]: Float64Array): Terms => squares([x! - 1, x! - 2], [1, 1]);

  it("is a step or gradient of zero at a minimum, with the gradient's cosine", () => {
    const minimum = minimiseTerms(line, [0]);
    expect(minimum.converged).toBe(true);
    expect(minimum.x[0]).toBeCloseTo(1.5, 14);
    expect(["step", "gradient"]).toContain(minimum.status);
    expect(minimum.gradientCosine).toBeLessThan(1e-14);
  });

  it("is that the arithmetic allows no lower value, where rounding hides it", () => {
    const rounded = (x: Float64Array): Terms => {
      const terms = line(x);
      return {
        ...terms,
        value: Math.round(terms.value * 1e6) / 1e6,
        slope: terms.slope.map((r) => r + 1e-7),
      };
    };
    const minimum = minimiseTerms(rounded, [0]);
    expect(minimum.converged).toBe(true);
    expect(minimum.x[0]).toBeCloseTo(1.5, 6);
  });

  it("is lost when an unknown runs off to where it does not matter", () => {
    // exp(−x) against −1: the further the better.
    const away = ([x]: Float64Array): Terms => squares([Math.exp(-x!) + 1], [-Math.exp(-x!)]);
    const minimum = minimiseTerms(away, [0]);
    expect(minimum).toMatchObject({ converged: false, status: "lost" });
    expect(minimum.sentence).toMatch(/^Not converged: an unknown went so far/);
  });

  it("is lost when an unknown never mattered", () => {
    const idle = ([x]: Float64Array): Terms => squares([x! - 1, x! - 2], [1, 0, 1, 0]);
    expect(minimiseTerms(idle, [0, 3])).toMatchObject({ converged: false, status: "lost" });
  });

  it("does not call lost what can still be told, however much its column has shrunk", () => {
    // e^{x}: the column falls by 1e13 on the way from 30 to 0.
    const far = ([x]: Float64Array): Terms =>
      squares([Math.exp(x!) - 1.1, Math.exp(x!) - 0.9], [Math.exp(x!), Math.exp(x!)]);
    const { converged, x } = minimiseTerms(far, [30]);
    expect(converged).toBe(true);
    expect(Math.abs(x[0]!)).toBeLessThan(1e-9);
  });

  it("is stuck along a wrong slope: a negative control", () => {
    const wrong = ([x]: Float64Array): Terms => squares([x! - 1, x! - 2], [-1, -1]);
    expect(minimiseTerms(wrong, [0])).toMatchObject({ converged: false, status: "stuck" });
    expect(minimiseTerms(wrong, [0]).sentence).toMatch(/^Not converged: no lower value/);
  });

  it("is a kink where that is allowed for, and stuck where it is not", () => {
    // |x| as one term with a slope of ±1.
    const ridge = ([x]: Float64Array): Terms => ({
      value: Math.abs(x!),
      slope: Float64Array.of(x! < 0 ? -1 : 1),
      curvature: Float64Array.of(1),
      jacobian: Float64Array.of(1),
    });
    const minimum = minimiseTerms(ridge, [0.3], { kinked: true, stepTolerance: 1e-7 });
    expect(minimum).toMatchObject({ converged: true, status: "kink" });
    expect(Math.abs(minimum.x[0]!)).toBeLessThan(1e-5);
    expect(minimiseTerms(ridge, [0.3]).converged).toBe(false);
  });

  it("is out of steps when they are too few", () => {
    const minimum = minimiseTerms(rosenbrock, [-1.2, 1], { mostSteps: 2 });
    expect(minimum).toMatchObject({
      converged: false,
      status: "steps",
      sentence: "Not converged: out of steps.",
    });
  });
});

describe("a start", () => {
  const value = (x: number) => squares([x], [1]);

  it.each([
    ["whose value is none", value(Number.NaN)],
    ["whose value is infinite", value(Number.POSITIVE_INFINITY)],
    ["with a slope that is none", squares([1], [Number.NaN])],
  ])("%s is refused with its place", (_, terms) => {
    expect(() => minimiseTerms(() => terms, [3])).toThrow(RangeError);
    expect(() => minimiseTerms(() => terms, [3])).toThrow(
      "the starting point has no finite value; every term and every slope there must be a finite number; got [3]; in minimiseTerms",
    );
  });

  it("of no unknowns, or with slopes that do not fit, is refused", () => {
    expect(() => minimiseTerms(() => squares([], []), [])).toThrow(/nothing to solve for/);
    expect(() => minimiseTerms(() => squares([1, 2], [1, 1, 1]), [0])).toThrow(/2 × 1; got 3/);
  });
});
