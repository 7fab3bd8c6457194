import { normalCdf, normalSurvival } from "./normal-cdf.js";
import { hazardExcess } from "./normal-hazard.js";
import { LOG_SQRT_TWO_PI } from "./normal-pdf.js";

/**
 * log Φ(z), for every z from −∞ (−∞) to +∞ (0). Relative error ≤ 1e-15 (measured for −1e8 ≤ z ≤ 37): far below the
 * point where Φ underflows it goes on as −z²/2 − log(z√(2π)).
 */
export function normalLogCdf(z: number): number {
  if (z > 0) return Math.log1p(-normalSurvival(z));
  if (z > -1) return Math.log(normalCdf(z));
  if (z === -Infinity) return -Infinity;
  return -(z * z) / 2 - LOG_SQRT_TWO_PI - Math.log(hazardExcess(-z) - z);
}
