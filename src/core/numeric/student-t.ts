import { refuse } from "../errors.js";
import { normalCentral, normalPdf, normalQuantile, normalSurvival } from "./normal.js";
import { incompleteBeta, logGamma, stirlingCorrection } from "./special-functions.js";

/** From this |t|/√ν on, only the tail's leading power is used: exact to 1e-200, and it cannot overflow. */
const POWER_LAW = 1e100;

/**
 * For t ≥ 0 and Student's t with `nu` degrees of freedom (any real > 0; ∞ is the normal): P(0 < T < t) and P(T > t), each to full relative precision. They add up to ½.
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

/** Density of Student's t with `nu` > 0 degrees of freedom at `t`. Relative error ≤ 1e-14 + 4e-16·|log density|. */
export function tPdf(t: number, nu: number): number {
  if (nu === Infinity) return normalPdf(t);
  const r = Math.abs(t) / Math.sqrt(nu);
  const logSpread = r > 1e8 ? 2 * Math.log(r) : Math.log1p(r * r);
  return Math.exp(logNorm(nu) - ((nu + 1) / 2) * logSpread);
}

/** log[Γ((ν+1)/2)/(Γ(ν/2)√(νπ))], computed from Stirling corrections so that large ν lose no digits. */
function logNorm(nu: number): number {
  const excess = (nu / 2) * Math.log1p(1 / nu) - 0.5;
  return stirlingCorrection((nu + 1) / 2) - stirlingCorrection(nu / 2) + excess - 0.5 * Math.log(2 * Math.PI);
}

const MOST_STEPS = 200;
/** Beyond this |t|/√ν, d(−log tail)/d(log t) equals ν to all digits. */
const QUANTILE_POWER_LAW = 1e9;
/** Newton's method converges quadratically: a step this small in log t leaves an error below 1e-16. */
const LAST_STEP = 3e-9;

/**
 * The `t` with P(T ≤ t) = `p` for Student's t with `nu` degrees of freedom (any real > 0; ∞ is the normal).
 * Relative error ≤ 2e-14 + 1e-15·|log t| for 0.1 ≤ ν ≤ 1e10 and 1e-300 ≤ p < 1 (measured); ±∞ at p = 0, 1 and where t overflows.
 *
 * Newton's method on log tail (or log central part) against log t, kept inside a bracket.
 * @throws RangeError when p is not in [0, 1] or ν not positive
 */
export function tQuantile(p: number, nu: number): number {
  if (!(p >= 0 && p <= 1)) refuse("this is no probability", "it must lie in [0, 1]", p, "tQuantile");
  if (!(nu > 0)) refuse("the degrees of freedom are out of range", "ν must be > 0", nu, "tQuantile");
  if (nu === Infinity) return normalQuantile(p);
  if (p === 0.5) return 0;
  const tail = Math.min(p, 1 - p);
  const central = Math.abs(p - 0.5);
  const t = tail === 0 ? Infinity : solve(tail, central, nu);
  return p < 0.5 ? -t : t;
}

function solve(tail: number, central: number, nu: number): number {
  const useTail = tail < central;
  const target = Math.log(useTail ? tail : central);
  let [low, high] = [-Infinity, Infinity];
  let u = Math.log(-normalQuantile(tail) || central * 2.5);
  for (let step = 0; step < MOST_STEPS; step++) {
    const t = Math.exp(u);
    if (t === Infinity) return Infinity;
    const parts = studentTParts(t, nu);
    const part = useTail ? parts.tail : parts.central;
    const miss = useTail ? target - Math.log(part) : Math.log(part) - target; // rises with u
    if (miss > 0) high = u;
    else low = u;
    const slope = t > QUANTILE_POWER_LAW * Math.sqrt(nu) ? nu : (t * tPdf(t, nu)) / part;
    const next = u - miss / slope;
    if (Math.abs(next - u) < LAST_STEP) return Math.exp(next);
    u = next > low && next < high ? next : between(low, high, u, miss > 0);
  }
  return Math.exp(u);
}

/** Halves the bracket, or extends it where it is still open. */
function between(low: number, high: number, u: number, down: boolean): number {
  if (Number.isFinite(low) && Number.isFinite(high)) return (low + high) / 2;
  return down ? u - 2 : u + 2;
}

/**
 * Probability that Fisher's F with `nu1` (numerator) and `nu2` (denominator) degrees of freedom exceeds `f` ≥ 0.
 * Error as for {@link incompleteBeta}.
 */
export function fSurvival(f: number, nu1: number, nu2: number): number {
  if (!(f >= 0)) refuse("the ratio is out of range", "F must be ≥ 0", f, "fSurvival");
  if (f === Infinity) return 0;
  const r = (nu1 / nu2) * f;
  return incompleteBeta(r / (1 + r), nu1 / 2, nu2 / 2, 1 / (1 + r)).upper;
}
