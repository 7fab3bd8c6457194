// Elements are read without bounds checks here: checked reads in the solvers and the likelihood made a calibration 8 to 10 % slower.

import { refuse } from "../errors.js";
import {
  hazardExcess,
  LOG_SQRT_TWO_PI,
  normalCdf,
  normalCentral,
  normalLogCdf,
  normalPdf,
  normalSurvival,
} from "./normal.js";
import { gaussLegendre } from "./quadrature.js";

/**
 * ℓ(s) = log[Φ(hi + s) − Φ(lo + s)] at s = 0, with its derivatives with respect to s, a common shift of both ends.
 * For a normal Z: d1 = −E[Z | lo < Z < hi], d2 = Var[Z | lo < Z < hi] − 1, so −1 ≤ d2 ≤ 0.
 *
 * In a likelihood with z = (x − μ)/τ a step of μ is a shift of −1/τ: dℓ/dμ = −d1/τ and d²ℓ/dμ² = d2/τ².
 */
export interface LogNormalInterval {
  /** ℓ, a natural logarithm, ≤ 0. */
  readonly value: number;
  /** dℓ/ds, per unit of z. */
  readonly d1: number;
  /** d²ℓ/ds², per unit of z squared. */
  readonly d2: number;
}

/** Up to this product of width and max(1, distance) the probability is a quadrature over the interval. */
const NARROW = 2;
/** Beyond this product of width and distance the far end no longer counts (e⁻⁴⁰). */
const FAR_END = 40;
const HALF_RULE = gaussLegendre(8);
const TAIL_RULE = gaussLegendre(32);

/**
 * Log probability that a standard normal falls between `lo` and `hi`, and its derivatives with respect to a common shift
 * ({@link LogNormalInterval}). Ends may be −∞ or +∞. There is no cancellation, however narrow or far out the interval is:
 * measured against 64 digits, relative errors stay below 2e-15 for `value` and `d2`, and 1e-14 for `d1` (relative to
 * its size or to 1e-3, whichever is larger, where the interval is nearly centred).
 *
 * Equal finite ends are the limit of a vanishing width: value −∞, d1 = −lo, d2 = −1.
 * @throws RangeError when lo > hi, an end is NaN, or both ends are the same infinity
 */
export function logNormalInterval(lo: number, hi: number): LogNormalInterval {
  if (!(lo <= hi) || (lo === hi && !Number.isFinite(lo)))
    refuse("the interval is reversed or empty", "its ends must rise", `[${lo}, ${hi}]`, "logNormalInterval");
  if (lo === -Infinity && hi === Infinity) return { value: 0, d1: 0, d2: 0 };
  if (lo + hi >= 0) return upper(lo, hi);
  const mirrored = upper(-hi, -lo);
  return { value: mirrored.value, d1: -mirrored.d1, d2: mirrored.d2 };
}

/** The case where the middle of the interval is at or above zero. */
function upper(lo: number, hi: number): LogNormalInterval {
  if (hi === Infinity) return openAbove(lo);
  const middle = lo + (hi - lo) / 2;
  const width = hi - lo;
  if (width * Math.max(1, middle) <= NARROW) return narrow(middle, width);
  return lo > 0 ? tail(lo, hi, width * middle) : straddling(lo, hi, width * middle);
}

function openAbove(lo: number): LogNormalInterval {
  if (lo >= 0) {
    const excess = hazardExcess(lo);
    return { value: normalLogCdf(-lo), d1: -(lo + excess), d2: -(lo + excess) * excess };
  }
  const hazard = normalPdf(lo) / normalCdf(-lo);
  return { value: normalLogCdf(-lo), d1: -hazard, d2: -hazard * (hazard - lo) };
}

/** ∫ φ(middle + u) du over |u| ≤ h as 2φ(middle) ∫₀ʰ cosh(middle·u) exp(−u²/2) du, and the first two moments of u. */
function narrow(middle: number, width: number): LogNormalInterval {
  const quarter = width / 4;
  let [mass, first, second] = [0, 0, 0];
  for (let k = 0; k < HALF_RULE.nodes.length; k++) {
    const u = quarter * (1 + HALF_RULE.nodes[k]!);
    const weight = (HALF_RULE.weights[k]! / 2) * Math.exp((-u * u) / 2);
    const sinh = Math.sinh(middle * u);
    const cosh = weight * Math.sqrt(1 + sinh * sinh);
    mass += cosh;
    first -= weight * sinh * u;
    second += cosh * u * u;
  }
  const mean = first / mass;
  return {
    value: (-middle * middle) / 2 + Math.log(width) + Math.log(mass) - LOG_SQRT_TWO_PI,
    d1: -(middle + mean),
    d2: second / mass - mean * mean - 1,
  };
}

/** lo ≤ 0 ≤ hi: both halves add. `product` is width times middle, (hi² − lo²)/2. */
function straddling(lo: number, hi: number, product: number): LogNormalInterval {
  const outside = normalSurvival(hi) + normalSurvival(-lo);
  const inside = normalCentral(hi) + normalCentral(-lo);
  const atLo = normalPdf(lo) / inside;
  const atHi = normalPdf(hi) / inside;
  const d1 = atLo * Math.expm1(-product);
  return {
    value: outside < 0.5 ? Math.log1p(-outside) : Math.log(inside),
    d1,
    d2: lo * atLo - hi * atHi - d1 * d1,
  };
}

/** 0 < lo < hi, not narrow. `product` is width times middle. */
function tail(lo: number, hi: number, product: number): LogNormalInterval {
  const excess = hazardExcess(lo);
  const hazard = lo + excess;
  const ratio = (Math.exp(-product) * hazard) / (hi + hazardExcess(hi));
  return {
    value: normalLogCdf(-lo) + Math.log1p(-ratio),
    d1: (hazard * Math.expm1(-product)) / (1 - ratio),
    d2: product > FAR_END ? -hazard * excess : tailVariance(lo, hi - lo) - 1,
  };
}

/** Variance of u = Z − lo on [0, width], density ∝ exp(−lo·u − u²/2). */
function tailVariance(lo: number, width: number): number {
  let [mass, first, second] = [0, 0, 0];
  for (let k = 0; k < TAIL_RULE.nodes.length; k++) {
    const u = (width / 2) * (1 + TAIL_RULE.nodes[k]!);
    const weight = TAIL_RULE.weights[k]! * Math.exp(-u * (lo + u / 2));
    mass += weight;
    first += weight * u;
    second += weight * u * u;
  }
  const mean = first / mass;
  return second / mass - mean * mean;
}
