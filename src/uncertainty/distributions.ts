import { refuse } from "../core/errors.js";
import { normalQuantile } from "../core/numeric/normal.js";
import type { RandomStream } from "../core/numeric/random-stream.js";
import { tQuantile } from "../core/numeric/student-t.js";

/**
 * What is known of one input quantity, as a probability distribution (JCGM 101:2008, 6.4). Plain values in the
 * quantity's own unit.
 */
export interface Distribution {
  readonly kind: string;
  /** Best estimate: the expectation, in the quantity's own unit. */
  readonly estimate: number;
  /**
   * Standard uncertainty for the law of propagation. It is the standard deviation, except for Student's t, where
   * JCGM 100 takes the scale and counts degrees of freedom instead.
   */
  readonly standardUncertainty: number;
  /** Standard deviation of the distribution, as Monte Carlo sees it, in the quantity's own unit; Infinity where it has none. */
  readonly standardDeviation: number;
  /** Degrees of freedom of `standardUncertainty`; Infinity where it is taken as exactly known. */
  readonly degreesOfFreedom: number;
  /** Smallest and largest possible value, in the quantity's own unit. */
  readonly support: readonly [number, number];
  /** The value below which the quantity lies with probability `p`, 0 < p < 1. */
  quantile(p: number): number;
  draw(stream: RandomStream): number;
}

/** What all bounded symmetric shapes share. */
export function bounded(
  kind: string,
  low: number,
  high: number,
  standardDeviation: number,
  degreesOfFreedom: number,
  quantile: (p: number) => number,
  draw: (stream: RandomStream) => number = (stream) => quantile(stream.uniform()),
): Distribution {
  return {
    kind,
    estimate: low + (high - low) / 2,
    standardUncertainty: standardDeviation,
    standardDeviation,
    degreesOfFreedom,
    support: [low, high],
    quantile,
    draw,
  };
}

export function needFinite(value: number, what: string, where: string): void {
  if (!Number.isFinite(value))
    refuse(`${what} is not a number to work with`, "it must be finite", value, where);
}

export function needPositive(value: number, what: string, where: string): void {
  if (!(value > 0)) refuse(`${what} is out of range`, "it must be > 0", value, where);
}

export function needNotNegative(value: number, what: string, where: string): void {
  if (!(value >= 0 && Number.isFinite(value)))
    refuse(`${what} is out of range`, "it must be ≥ 0 and finite", value, where);
}

export function needProbability(value: number, what: string, where: string): void {
  if (!(value > 0 && value < 1))
    refuse(`${what} is out of range`, "it must lie between 0 and 1", value, where);
}

export function needLimits(low: number, high: number, where: string): void {
  if (!(low < high && Number.isFinite(low) && Number.isFinite(high)))
    refuse(
      "the limits are reversed, equal or infinite",
      "low < high, both finite",
      `[${low}, ${high}]`,
      where,
    );
}

/**
 * Normal distribution N(estimate, u²) (JCGM 101, 6.4.7). `degreesOfFreedom` counts in the law of propagation only;
 * a Type A result whose few readings should widen Monte Carlo too is {@link studentT}.
 * @throws RangeError when u is negative
 * @example
 * normal(10, 0.1).standardUncertainty // 0.1
 */
export function normal(
  estimate: number,
  standardUncertainty: number,
  degreesOfFreedom = Infinity,
): Distribution {
  needFinite(estimate, "the estimate", "normal");
  needNotNegative(standardUncertainty, "the standard uncertainty", "normal");
  needPositive(degreesOfFreedom, "the number of degrees of freedom", "normal");
  return {
    kind: "normal",
    estimate,
    standardUncertainty,
    standardDeviation: standardUncertainty,
    degreesOfFreedom,
    support: [-Infinity, Infinity],
    quantile: (p) => estimate + standardUncertainty * normalQuantile(p),
    draw: (stream) => estimate + standardUncertainty * stream.normal(),
  };
}

/**
 * Equal density between `low` and `high`, none outside (JCGM 101, 6.4.2): u = (high − low)/√12; in the quantity's own unit.
 * @throws RangeError when low ≥ high
 * @example
 * rectangular(79, 81).standardUncertainty // 0.5774
 */
export function rectangular(low: number, high: number, degreesOfFreedom = Infinity): Distribution {
  needLimits(low, high, "rectangular");
  needPositive(degreesOfFreedom, "the number of degrees of freedom", "rectangular");
  const width = high - low;
  return bounded("rectangular", low, high, width / Math.sqrt(12), degreesOfFreedom, (p) => low + width * p);
}

/**
 * Symmetric trapezoid on [low, high] whose top is `beta` times its base, 0 ≤ beta ≤ 1 (JCGM 101, 6.4.4): the sum of two
 * rectangular quantities. u = (high − low)·√((1 + β²)/24).
 * @throws RangeError when low ≥ high or beta is outside [0, 1]
 * @example
 * trapezoidal(79, 81, 0.5).standardUncertainty // 0.4564
 */
export function trapezoidal(
  low: number,
  high: number,
  beta: number,
  degreesOfFreedom = Infinity,
): Distribution {
  return trapezoid("trapezoidal", low, high, beta, degreesOfFreedom);
}

/**
 * Symmetric triangle on [low, high] (JCGM 101, 6.4.5): the sum of two equal rectangular quantities. u = (high − low)/√24; in the
 * quantity's own unit.
 * @throws RangeError when low ≥ high
 * @example
 * triangular(79, 81).standardUncertainty // 0.4082
 */
export function triangular(low: number, high: number, degreesOfFreedom = Infinity): Distribution {
  return trapezoid("triangular", low, high, 0, degreesOfFreedom);
}

function trapezoid(kind: string, low: number, high: number, beta: number, nu: number): Distribution {
  needLimits(low, high, kind);
  needPositive(nu, "the number of degrees of freedom", kind);
  if (!(beta >= 0 && beta <= 1)) refuse("the share of the top is out of range", "0 ≤ beta ≤ 1", beta, kind);
  const width = high - low;
  const slope = (1 - beta) / 2; // share of the base under one sloping side
  const inSlope = slope / (1 + beta); // probability under one sloping side
  const fromLow = (p: number): number =>
    p < inSlope ? width * Math.sqrt((p * (1 - beta * beta)) / 2) : (width * (p * (1 + beta) + slope)) / 2;
  return bounded(
    kind,
    low,
    high,
    width * Math.sqrt((1 + beta * beta) / 24),
    nu,
    (p) => (p <= 0.5 ? low + fromLow(p) : high - fromLow(1 - p)),
    (stream) => low + (width / 2) * ((1 + beta) * stream.uniform() + (1 - beta) * stream.uniform()),
  );
}

/**
 * U-shaped distribution of a quantity that swings sinusoidally between `low` and `high` at an unknown phase
 * (JCGM 101, 6.4.6): u = (high − low)/√8; in the quantity's own unit.
 * @throws RangeError when low ≥ high
 * @example
 * arcSine(-1, 1).standardUncertainty // 0.7071
 */
export function arcSine(low: number, high: number, degreesOfFreedom = Infinity): Distribution {
  needLimits(low, high, "arcSine");
  needPositive(degreesOfFreedom, "the number of degrees of freedom", "arcSine");
  const half = (high - low) / 2;
  return bounded(
    "arc sine",
    low,
    high,
    half / Math.SQRT2,
    degreesOfFreedom,
    (p) => low + half * (1 - Math.cos(Math.PI * p)),
  );
}

/**
 * A rectangular distribution whose own limits are known only within ± `inexactness` (JCGM 101, 6.4.3): middle fixed,
 * half-width rectangular between w − d and w + d. u² = (high − low)²/12 + d²/9. Its support reaches d beyond low and high.
 * @throws RangeError unless low < high and 0 < inexactness < (high − low)/2
 * @example
 * curvilinearTrapezoid(79, 81, 0.2).standardUncertainty // 0.5812
 */
export function curvilinearTrapezoid(
  low: number,
  high: number,
  inexactness: number,
  degreesOfFreedom = Infinity,
): Distribution {
  needLimits(low, high, "curvilinearTrapezoid");
  needPositive(degreesOfFreedom, "the number of degrees of freedom", "curvilinearTrapezoid");
  const half = (high - low) / 2;
  const d = inexactness;
  if (!(d > 0 && d < half))
    refuse("the limits' inexactness is out of range", "0 < d < (high − low)/2", d, "curvilinearTrapezoid");
  const middle = low + half;
  const quantile = (p: number): number =>
    p < 0.5 ? middle - fromMiddle(p, half, d) : middle + fromMiddle(1 - p, half, d);
  return bounded(
    "curvilinear trapezoid",
    low - d,
    high + d,
    Math.sqrt(half ** 2 / 3 + d ** 2 / 9),
    degreesOfFreedom,
    quantile,
    (stream) => middle + (half + d * (2 * stream.uniform() - 1)) * (2 * stream.uniform() - 1),
  );
}

/** How far from the middle the quantity lies with probability `p` ≤ ½ on one side. */
function fromMiddle(p: number, half: number, d: number): number {
  const outer = half + d;
  const density = Math.log(outer / (half - d)) / (4 * d); // between the middle and half − d
  const straight = (0.5 - p) / density;
  if (straight <= half - d) return straight;
  // Beyond: P(distance > s) = [outer − s − s·log(outer/s)]/(4d). With s = outer·(1 − q) solve q + (1 − q)·log(1 − q) = c.
  const c = (4 * d * p) / outer;
  let q = Math.min(Math.sqrt(2 * c), 0.999);
  for (let step = 0; step < 50; step++) {
    const log = Math.log1p(-q);
    const change = (q + (1 - q) * log - c) / log;
    q = Math.min(Math.max(q + change, 0), 1 - 1e-16);
    if (Math.abs(change) <= 1e-15 * q || q === 0) break;
  }
  return outer * (1 - q);
}

/**
 * Scaled and shifted Student's t (JCGM 101, 6.4.9): what `n` independent readings say of their mean, with
 * estimate x̄, scale s/√n and n − 1 degrees of freedom. Any real ν > 0; drawn exactly by the polar method of
 * R. W. Bailey (Math. Comp. 62, 1994).
 *
 * The law of propagation takes the scale as standard uncertainty with ν degrees of freedom; the distribution's own
 * standard deviation is scale·√(ν/(ν − 2)).
 * @throws RangeError when scale or ν is not positive
 * @example
 * studentT(10, 0.1, 9).standardUncertainty // 0.1
 */
export function studentT(estimate: number, scale: number, degreesOfFreedom: number): Distribution {
  needFinite(estimate, "the estimate", "studentT");
  needPositive(scale, "the scale", "studentT");
  needPositive(degreesOfFreedom, "the number of degrees of freedom", "studentT");
  const nu = degreesOfFreedom;
  return {
    kind: "Student t",
    estimate,
    standardUncertainty: scale,
    standardDeviation: nu > 2 ? (nu === Infinity ? scale : scale * Math.sqrt(nu / (nu - 2))) : Infinity,
    degreesOfFreedom: nu,
    support: [-Infinity, Infinity],
    quantile: (p) => estimate + scale * tQuantile(p, nu),
    draw: (stream) => {
      if (nu === Infinity) return estimate + scale * stream.normal();
      const radius = Math.sqrt(nu * Math.expm1((-2 / nu) * Math.log1p(-stream.uniform())));
      return estimate + scale * radius * Math.cos(2 * Math.PI * stream.uniform());
    },
  };
}
