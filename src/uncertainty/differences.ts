import { refuse } from "../core/errors.js";
import { at } from "../core/numeric/dense.js";
import type { JointInputs, Model } from "./inputs.js";

/** A derivative found by extrapolation, with the estimate of its own error. */
interface Difference {
  readonly value: number;
  readonly error: number;
}

const SHRINK = 1.6;
const LEVELS = 12;
const FIRST_STEPS = 30;

/**
 * Limit h → 0 of a quotient whose error is even in h, from ever smaller steps by Neville's scheme, stopping where
 * rounding takes over (C. J. F. Ridders, Adv. Eng. Softw. 4, 1982). Where the quotient is not finite (the step leaves
 * the model's range) the first step is halved. NaN when it is never finite.
 */
function extrapolate(quotient: (h: number) => number, firstStep: number): Difference {
  let h = firstStep;
  for (let k = 0; k < FIRST_STEPS && !Number.isFinite(quotient(h)); k++) h /= 2;
  let best: Difference = { value: Number.NaN, error: Infinity };
  let previous: number[] = [];
  for (let level = 0; level < LEVELS; level++) {
    const row = [quotient(h / SHRINK ** level)];
    let factor = 1;
    for (let k = 1; k <= level; k++) {
      factor *= SHRINK ** 2;
      row.push((at(row, k - 1) * factor - at(previous, k - 1)) / (factor - 1));
      const error = Math.max(
        Math.abs(at(row, k) - at(row, k - 1)),
        Math.abs(at(row, k) - at(previous, k - 1)),
      );
      if (error <= best.error) best = { value: at(row, k), error };
    }
    if (level > 1 && Math.abs(at(row, level) - at(previous, level - 1)) > 2 * best.error) break;
    previous = row;
  }
  return best;
}

/** f at `x` moved by `a` times `p` and `b` times `q`. */
function valueAt(f: Model, x: Float64Array, p: Float64Array, a: number, q?: Float64Array, b = 0): number {
  return f(x.map((value, i) => value + a * at(p, i) + (q === undefined ? 0 : b * at(q, i))));
}

/** Slope of f at x along direction p. */
export const slopeAlong = (f: Model, x: Float64Array, p: Float64Array, h = 1): Difference =>
  extrapolate((s) => (valueAt(f, x, p, s) - valueAt(f, x, p, -s)) / (2 * s), h);

/** pᵀ·H·q with H the second derivatives of f at x. */
export function curvatureAlong(f: Model, x: Float64Array, p: Float64Array, q: Float64Array): Difference {
  if (p === q) return extrapolate((s) => secondQuotient(f, x, p, s), 1);
  return extrapolate((s) => {
    const even = valueAt(f, x, p, s, q, s) + valueAt(f, x, p, -s, q, -s);
    return (even - valueAt(f, x, p, s, q, -s) - valueAt(f, x, p, -s, q, s)) / (4 * s * s);
  }, 1);
}

/** Third derivative of f at x, once along p and twice along q. */
function twistAlong(f: Model, x: Float64Array, p: Float64Array, q: Float64Array): Difference {
  return extrapolate((s) => {
    const move = (sign: number): Float64Array => x.map((value, i) => value + sign * s * at(p, i));
    return (secondQuotient(f, move(1), q, s) - secondQuotient(f, move(-1), q, s)) / (2 * s);
  }, 1);
}

function secondQuotient(f: Model, x: Float64Array, p: Float64Array, s: number): number {
  return (valueAt(f, x, p, s) - 2 * f(x.slice()) + valueAt(f, x, p, -s)) / (s * s);
}

/** Share of the slopes by which those on the two sides must differ to count as a kink. */
const KINK = 1e-3;

/**
 * Whether f has different slopes on the two sides of x along p: a difference that does not shrink with the step, as that
 * of a curve does. Sees a kink at x itself, not one beside it.
 */
export function hasKink(f: Model, x: Float64Array, p: Float64Array): boolean {
  const middle = f(x.slice());
  const sides = (s: number): [number, number] => [
    (valueAt(f, x, p, s) - middle) / s,
    (middle - valueAt(f, x, p, -s)) / s,
  ];
  const [coarse, fine] = [sides(1e-3), sides(1e-4)];
  const [jump, before] = [Math.abs(fine[0] - fine[1]), Math.abs(coarse[0] - coarse[1])];
  const rounding = (16 * Number.EPSILON * Math.abs(middle)) / 1e-4;
  const scale = Math.max(...sides(1).map(Math.abs), ...fine.map(Math.abs));
  return jump > KINK * scale + rounding && jump > before / 2;
}

/** Value and slopes of a model at the estimates. */
export interface FirstOrder {
  readonly estimate: number;
  /** ∂f/∂xᵢ. */
  readonly gradient: Float64Array;
  /** Σ over covariances: u² = cᵀ·Σ·c, formed as the length of Fᵀ·c. */
  readonly standardUncertainty: number;
}

/**
 * Value, gradient and first-order standard uncertainty (JCGM 100, 5.1 and 5.2). The gradient is the caller's, or found
 * by extrapolated central differences that start at one standard uncertainty.
 * @throws RangeError when the model or its slope is not finite at the estimates
 */
export function firstOrder(
  model: Model,
  joint: JointInputs,
  gradient?: (x: Float64Array) => ArrayLike<number>,
): FirstOrder {
  const { estimates, standardUncertainties: u, factor, names } = joint;
  const n = names.length;
  const estimate = model(estimates.slice());
  if (!Number.isFinite(estimate))
    refuse(
      "the model gives no number at the estimates",
      "its value must be finite",
      estimate,
      "lawOfPropagation",
    );
  const c = Float64Array.from(
    gradient ? gradient(estimates.slice()) : names.map((_, i) => slope(model, estimates, u, i)),
  );
  if (c.length !== n)
    refuse("the gradient has the wrong length", `one slope an input, ${n}`, c.length, "gradient");
  for (let i = 0; i < n; i++)
    if (!Number.isFinite(at(c, i)))
      refuse(
        "the model has no slope at the estimates",
        "it must be differentiable there",
        c[i],
        at(names, i),
      );
  return { estimate, gradient: c, standardUncertainty: Math.hypot(...transposeTimes(factor, c)) };
}

function slope(model: Model, x: Float64Array, u: Float64Array, i: number): number {
  const direction = new Float64Array(x.length);
  const step = at(u, i) > 0 && Number.isFinite(at(u, i)) ? at(u, i) : 1e-3 * Math.max(1, Math.abs(at(x, i)));
  direction[i] = step;
  return slopeAlong(model, x, direction).value / step;
}

/** Fᵀ·c for a row-major n × n matrix F. */
export function transposeTimes(factor: Float64Array, c: ArrayLike<number>): Float64Array {
  const n = c.length;
  return Float64Array.from({ length: n }, (_, k) => {
    let sum = 0;
    for (let i = 0; i < n; i++) sum += at(factor, i * n + k) * at(c, i);
    return sum;
  });
}

/** What curvature adds to the first order. */
export interface SecondOrder {
  /** ½·tr(H·Σ), by which the expectation differs from the value at the estimates, in the unit of the result. JCGM 100 does not add it. */
  readonly shift: number;
  /** Standard uncertainty with the next terms; NaN where they make the variance negative: too curved for this method. */
  readonly standardUncertainty: number;
  /** Parts of curvature alone, |½∂²f/∂x²|·u²·√2 or |∂²f/∂x∂y|·uₓ·u_y, largest first. Empty when inputs are correlated. */
  readonly terms: readonly {
    readonly inputs: readonly [string, string];
    readonly standardUncertainty: number;
  }[];
}

/**
 * Second-order terms of the law of propagation for (jointly) normal inputs:
 * u² = cᵀΣc + ½·tr(HΣHΣ) + Σ cᵢ Σᵢₗ fₗⱼₖ Σⱼₖ. For independent inputs it is the formula in the note to
 * JCGM 100:2008, 5.1.2, which holds for normal distributions; others have other fourth moments.
 *
 * Needs about 10·n² values of the model for n inputs.
 */
export function secondOrder(model: Model, joint: JointInputs, first: FirstOrder): SecondOrder {
  const { names, estimates: x, factor } = joint;
  const n = names.length;
  const directions = names.map((_, k) => Float64Array.from({ length: n }, (_, i) => at(factor, i * n + k)));
  const active = directions.map((d) => d.some((v) => v !== 0));
  const independent = !joint.correlated.includes(true);
  let [trace, curvature] = [0, 0];
  const terms: SecondOrder["terms"][number][] = [];
  for (let j = 0; j < n; j++) {
    for (let k = 0; k <= j; k++) {
      if (!active[j] || !active[k]) continue;
      const { value, error } = curvatureAlong(model, x, at(directions, j), at(directions, k));
      const b = Math.abs(value) <= error ? 0 : value; // rounding of a straight model is no curvature
      if (j === k) trace += b;
      const variance = (j === k ? 0.5 : 1) * b * b;
      curvature += variance;
      if (independent && variance > 0)
        terms.push({ inputs: [at(names, k), at(names, j)], standardUncertainty: Math.sqrt(variance) });
    }
  }
  const variance =
    first.standardUncertainty ** 2 + curvature + twist(model, joint, first, directions, active);
  return {
    shift: trace / 2,
    standardUncertainty: variance >= 0 ? Math.sqrt(variance) : Number.NaN,
    terms: terms.sort((a, b) => b.standardUncertainty - a.standardUncertainty),
  };
}

/** Σ cᵢ Σᵢₗ fₗⱼₖ Σⱼₖ: third derivatives once along Σ·c, twice along each column of the factor. */
function twist(
  model: Model,
  { names, estimates: x, factor }: JointInputs,
  { gradient, standardUncertainty: u }: FirstOrder,
  directions: readonly Float64Array[],
  active: readonly boolean[],
): number {
  if (u === 0) return 0;
  const n = names.length;
  const along = transposeTimes(factor, gradient);
  const p = x.map((_, i) => {
    let sum = 0;
    for (let k = 0; k < n; k++) sum += at(factor, i * n + k) * at(along, k);
    return sum / u;
  });
  let total = 0;
  for (let k = 0; k < n; k++) {
    if (!active[k]) continue;
    const { value, error } = twistAlong(model, x, p, at(directions, k));
    if (Math.abs(value) > error) total += value;
  }
  return u * total;
}
