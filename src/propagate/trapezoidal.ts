import { refuse } from "../numeric/refuse.js";
import { needLimits, needPositive } from "./checks.js";
import { bounded, type Distribution } from "./distribution.js";

/**
 * Symmetric trapezoid on [lo, hi] whose top is `beta` times its base, 0 ≤ beta ≤ 1 (JCGM 101, 6.4.4): the sum of two
 * rectangular quantities. u = (hi − lo)·√((1 + β²)/24).
 * @throws RangeError when lo ≥ hi or beta is outside [0, 1]
 */
export function trapezoidal(lo: number, hi: number, beta: number, degreesOfFreedom = Infinity): Distribution {
  return trapezoid("trapezoidal", lo, hi, beta, degreesOfFreedom);
}

/**
 * Symmetric triangle on [lo, hi] (JCGM 101, 6.4.5): the sum of two equal rectangular quantities. u = (hi − lo)/√24; in the
 * quantity's own unit.
 * @throws RangeError when lo ≥ hi
 */
export function triangular(lo: number, hi: number, degreesOfFreedom = Infinity): Distribution {
  return trapezoid("triangular", lo, hi, 0, degreesOfFreedom);
}

function trapezoid(kind: string, lo: number, hi: number, beta: number, nu: number): Distribution {
  needLimits(lo, hi, kind);
  needPositive(nu, "the number of degrees of freedom", kind);
  if (!(beta >= 0 && beta <= 1)) refuse("the share of the top is out of range", "0 ≤ beta ≤ 1", beta, kind);
  const width = hi - lo;
  const slope = (1 - beta) / 2; // share of the base under one sloping side
  const inSlope = slope / (1 + beta); // probability under one sloping side
  const fromLow = (p: number): number =>
    p < inSlope ? width * Math.sqrt((p * (1 - beta * beta)) / 2) : (width * (p * (1 + beta) + slope)) / 2;
  return bounded(
    kind,
    lo,
    hi,
    width * Math.sqrt((1 + beta * beta) / 24),
    nu,
    (p) => (p <= 0.5 ? lo + fromLow(p) : hi - fromLow(1 - p)),
    (stream) => lo + (width / 2) * ((1 + beta) * stream.uniform() + (1 - beta) * stream.uniform()),
  );
}
