import type { Model } from "./inputs.js";

/** A derivative found by extrapolation, with the estimate of its own error. */
export interface Difference {
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
      row.push((row[k - 1]! * factor - previous[k - 1]!) / (factor - 1));
      const error = Math.max(Math.abs(row[k]! - row[k - 1]!), Math.abs(row[k]! - previous[k - 1]!));
      if (error <= best.error) best = { value: row[k]!, error };
    }
    if (level > 1 && Math.abs(row[level]! - previous[level - 1]!) > 2 * best.error) break;
    previous = row;
  }
  return best;
}

/** f at `x` moved by `a` times `p` and `b` times `q`. */
function at(f: Model, x: Float64Array, p: Float64Array, a: number, q?: Float64Array, b = 0): number {
  return f(x.map((value, i) => value + a * p[i]! + (q === undefined ? 0 : b * q[i]!)));
}

/** Slope of f at x along direction p. */
export const slopeAlong = (f: Model, x: Float64Array, p: Float64Array, h = 1): Difference =>
  extrapolate((s) => (at(f, x, p, s) - at(f, x, p, -s)) / (2 * s), h);

/** pᵀ·H·q with H the second derivatives of f at x. */
export function curvatureAlong(f: Model, x: Float64Array, p: Float64Array, q: Float64Array): Difference {
  if (p === q) return extrapolate((s) => secondQuotient(f, x, p, s), 1);
  return extrapolate((s) => {
    const even = at(f, x, p, s, q, s) + at(f, x, p, -s, q, -s);
    return (even - at(f, x, p, s, q, -s) - at(f, x, p, -s, q, s)) / (4 * s * s);
  }, 1);
}

/** Third derivative of f at x, once along p and twice along q. */
export function twistAlong(f: Model, x: Float64Array, p: Float64Array, q: Float64Array): Difference {
  return extrapolate((s) => {
    const move = (sign: number): Float64Array => x.map((value, i) => value + sign * s * p[i]!);
    return (secondQuotient(f, move(1), q, s) - secondQuotient(f, move(-1), q, s)) / (2 * s);
  }, 1);
}

function secondQuotient(f: Model, x: Float64Array, p: Float64Array, s: number): number {
  return (at(f, x, p, s) - 2 * f(x.slice()) + at(f, x, p, -s)) / (s * s);
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
    (at(f, x, p, s) - middle) / s,
    (middle - at(f, x, p, -s)) / s,
  ];
  const [coarse, fine] = [sides(1e-3), sides(1e-4)];
  const [jump, before] = [Math.abs(fine[0] - fine[1]), Math.abs(coarse[0] - coarse[1])];
  const rounding = (16 * Number.EPSILON * Math.abs(middle)) / 1e-4;
  const scale = Math.max(...sides(1).map(Math.abs), ...fine.map(Math.abs));
  return jump > KINK * scale + rounding && jump > before / 2;
}
