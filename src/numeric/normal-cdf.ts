import { hazardExcess } from "./normal-hazard.js";
import { gaussian, SQRT_TWO_PI } from "./normal-pdf.js";

/**
 * Probability that a standard normal exceeds `z`, 1 − Φ(z) = ½ erfc(z/√2).
 *
 * Relative error ≤ 1e-15 for z ≤ 37.5 (measured; the result is subnormal beyond and rounded once there), so that far
 * tails keep all their digits. Ours because simple-statistics' `errorFunction` and its table of Φ err by about 1e-7,
 * which in a tail is every digit.
 */
export function normalSurvival(z: number): number {
  if (Number.isNaN(z)) return Number.NaN;
  return z >= 0 ? gaussian(z, 1 / SQRT_TWO_PI / (z + hazardExcess(z))) : 1 - normalSurvival(-z);
}

/** Probability that a standard normal stays below `z`, Φ(z). Error as {@link normalSurvival}. */
export function normalCdf(z: number): number {
  return normalSurvival(-z);
}

/** Up to here the series of {@link normalCentral} is used, beyond it ½ minus the tail. */
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
