import { refuse } from "../errors.js";

/**
 * Probability that a standard normal exceeds `z`, 1 − Φ(z) = ½ erfc(z/√2).
 *
 * Relative error ≤ 1e-15 for z ≤ 37.5 (measured; the result is subnormal beyond and rounded once there), so that far
 * tails keep all their digits. Not taken from simple-statistics, whose `errorFunction` and table of Φ have errors of about 1e-7,
 * which leaves no correct digit in a tail.
 */
export function normalSurvival(z: number): number {
  if (Number.isNaN(z)) return Number.NaN;
  return z >= 0 ? gaussian(z, 1 / SQRT_TWO_PI / (z + hazardExcess(z))) : 1 - normalSurvival(-z);
}

/** Probability that a standard normal stays below `z`, Φ(z). Error as {@link normalSurvival}. */
export function normalCdf(z: number): number {
  return normalSurvival(-z);
}

/** Up to this z, {@link normalCentral} uses its series; beyond it, ½ minus the tail. */
const SERIES_END = 1.2;

/**
 * Φ(z) − ½ = ½ erf(z/√2), odd in `z`, with all digits near zero where Φ itself is near ½. Relative error ≤ 1e-15.
 * Series: φ(z)·(z + z³/3 + z⁵/15 + …), every term of one sign.
 */
export function normalCentral(z: number): number {
  if (Math.abs(z) > SERIES_END) return Math.sign(z) * (0.5 - normalSurvival(Math.abs(z)));
  let term = z;
  let sum = z;
  for (let k = 3; Math.abs(term) > 1e-17 * Math.abs(sum); k += 2) {
    term *= (z * z) / k;
    sum += term;
  }
  return gaussian(z, sum / SQRT_TWO_PI);
}

export const SQRT_TWO_PI = 2.5066282746310002;
export const LOG_SQRT_TWO_PI = 0.9189385332046728;

/**
 * factor · exp(−z²/2) without the loss of squaring a rounded z: z is split so that the large square is exact
 * (relative error ≤ 1e-15 + that of `factor`), and the result is rounded once even where it is subnormal.
 */
function gaussian(z: number, factor = 1): number {
  const high = Math.fround(z);
  if (Math.abs(high) > 60) return 0 * factor;
  const rest = Math.exp((-(z - high) * (z + high)) / 2) * factor;
  if (Math.abs(high) < 36) return Math.exp((-high * high) / 2) * rest;
  const half = Math.exp((-high * high) / 4);
  return half * (half * rest);
}

/** Density of the standard normal at `z`: exp(−z²/2)/√(2π). Relative error ≤ 1e-15 where the result is normal. */
export function normalPdf(z: number): number {
  return gaussian(z, 1 / SQRT_TWO_PI);
}

/**
 * Chebyshev coefficients of (z + 1.25)·(h(z) − z) in t = (z − 4)/(z + 4), z ≥ 0, where h = φ/(1 − Φ) is the hazard
 * of the standard normal. Computed for this project as the 64-point Chebyshev interpolant at 60 digits, cut where
 * the terms fall below 1e-17; the test of this file computes them again.
 */
export const HAZARD_EXCESS_COEFFICIENTS: readonly number[] = [
  1.0956958596592268, -0.034702924396934454, -0.09343780196968496, 0.037570205338871523,
  -0.004095030137480855, -0.0015722063227408844, 0.0005552733243082211, 2.3897662366556302e-5,
  -4.300832510824077e-5, 3.6749714646390396e-6, 2.693782875367941e-6, -5.45107307630093e-7,
  -1.4153900604596467e-7, 5.1053908216860895e-8, 5.8372047150532804e-9, -3.955913161429609e-9,
  -1.2336607478812415e-10, 2.7012931467900985e-10, -8.528552549792625e-12, -1.6480084607527077e-11,
  1.4805724539625554e-12, 8.826895928770214e-13, -1.4019881361691018e-13, -3.859479994967725e-14,
  1.0738740762272473e-14, 9.91142446537224e-16, -7.294580142279365e-16, 4.1581080847826476e-17,
  4.584562729280559e-17, -9.063309850776236e-18,
];
export const HAZARD_EXCESS_POLE = 1.25;
export const HAZARD_EXCESS_MIDDLE = 4;

/**
 * How far the hazard of the standard normal exceeds its asymptote: φ(z)/(1 − Φ(z)) − z, for z ≥ 0. From √(2/π) at
 * z = 0 it falls like 1/z. No cancellation: relative error ≤ 1e-15 for every z ≥ 0 (measured in the tests).
 * All computations with the normal tail use it: the Mills ratio is 1/(z + excess).
 */
export function hazardExcess(z: number): number {
  if (z === Infinity) return 0;
  const t2 = (2 * (z - HAZARD_EXCESS_MIDDLE)) / (z + HAZARD_EXCESS_MIDDLE);
  let b1 = 0;
  let b2 = 0;
  for (let k = HAZARD_EXCESS_COEFFICIENTS.length - 1; k > 0; k--) {
    const b0 = t2 * b1 - b2 + HAZARD_EXCESS_COEFFICIENTS[k]!;
    b2 = b1;
    b1 = b0;
  }
  return ((t2 / 2) * b1 - b2 + HAZARD_EXCESS_COEFFICIENTS[0]!) / (z + HAZARD_EXCESS_POLE);
}

/**
 * log Φ(z), for every z from −∞ (−∞) to +∞ (0). Relative error ≤ 1e-15 (measured for −1e8 ≤ z ≤ 37): Far below the
 * point where Φ underflows it continues as −z²/2 − log(z√(2π)).
 */
export function normalLogCdf(z: number): number {
  if (z > 0) return Math.log1p(-normalSurvival(z));
  if (z > -1) return Math.log(normalCdf(z));
  if (z === -Infinity) return -Infinity;
  return -(z * z) / 2 - LOG_SQRT_TWO_PI - Math.log(hazardExcess(-z) - z);
}

/** Within this probability of ½ the equation is solved from the middle, outside it from the tail. */
const MIDDLE = 0.25;

/**
 * The `z` with Φ(z) = `p`, 0 ≤ p ≤ 1 (−∞ and +∞ at the ends). Relative error ≤ 1e-15 over every double `p`,
 * down to 5e-324 (measured; the upper tail is as exact as the double 1 − p allows).
 *
 * Uses Newton's method with the second-order (Halley) term: on Φ − ½ in the middle, on log Φ in the tails.
 * @throws RangeError when p is not in [0, 1]
 */
export function normalQuantile(p: number): number {
  if (!(p >= 0 && p <= 1)) refuse("this is no probability", "it must lie in [0, 1]", p, "normalQuantile");
  if (Math.abs(p - 0.5) <= MIDDLE) return fromMiddle(p - 0.5);
  return p < 0.5 ? fromTail(p) : -fromTail(1 - p);
}

function fromMiddle(excess: number): number {
  let z = excess * 2.5066282746310002 * (1 + 1.05 * excess * excess);
  for (let step = 0; step < 3; step++) {
    const newton = (normalCentral(z) - excess) / normalPdf(z);
    z -= newton / (1 + (z * newton) / 2);
  }
  return z;
}

function fromTail(p: number): number {
  if (p === 0) return -Infinity;
  const target = Math.log(p);
  const s = Math.sqrt(-2 * target);
  let z = -(s - Math.log(2.5 * s) / s);
  for (let step = 0; step < 4; step++) {
    const excess = hazardExcess(-z);
    const hazard = excess - z; // the derivative of log Φ; its own derivative is −hazard·excess
    const newton = (normalLogCdf(z) - target) / hazard;
    z -= newton / (1 + (excess * newton) / 2);
  }
  return z;
}
