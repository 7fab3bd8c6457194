import { normalQuantile } from "./normal-quantile.js";
import { refuse } from "./refuse.js";
import { studentTParts } from "./student-t-cdf.js";
import { tPdf } from "./student-t-pdf.js";

const MOST_STEPS = 200;
/** Beyond this |t|/√ν the slope of −log tail by log t is ν to all digits. */
const POWER_LAW = 1e9;
/** Newton doubles its digits: a step this small in log t leaves an error below 1e-16. */
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
    const slope = t > POWER_LAW * Math.sqrt(nu) ? nu : (t * tPdf(t, nu)) / part;
    const next = u - miss / slope;
    if (Math.abs(next - u) < LAST_STEP) return Math.exp(next);
    u = next > low && next < high ? next : between(low, high, u, miss > 0);
  }
  return Math.exp(u);
}

/** Halves the bracket, or strides on where it is still open. */
function between(low: number, high: number, u: number, down: boolean): number {
  if (Number.isFinite(low) && Number.isFinite(high)) return (low + high) / 2;
  return down ? u - 2 : u + 2;
}
