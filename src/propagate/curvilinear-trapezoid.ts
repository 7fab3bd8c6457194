import { refuse } from "../numeric/refuse.js";
import { needLimits, needPositive } from "./checks.js";
import { bounded, type Distribution } from "./distribution.js";

/**
 * A rectangular distribution whose own limits are known only within ± `inexactness` (JCGM 101, 6.4.3): middle fixed,
 * half-width rectangular between w − d and w + d. u² = (hi − lo)²/12 + d²/9. Its support reaches d beyond lo and hi.
 * @throws RangeError unless lo < hi and 0 < inexactness < (hi − lo)/2
 */
export function curvilinearTrapezoid(
  lo: number,
  hi: number,
  inexactness: number,
  degreesOfFreedom = Infinity,
): Distribution {
  needLimits(lo, hi, "curvilinearTrapezoid");
  needPositive(degreesOfFreedom, "the number of degrees of freedom", "curvilinearTrapezoid");
  const half = (hi - lo) / 2;
  const d = inexactness;
  if (!(d > 0 && d < half))
    refuse("the limits' inexactness is out of range", "0 < d < (hi − lo)/2", d, "curvilinearTrapezoid");
  const middle = lo + half;
  const quantile = (p: number): number =>
    p < 0.5 ? middle - fromMiddle(p, half, d) : middle + fromMiddle(1 - p, half, d);
  return bounded(
    "curvilinear trapezoid",
    lo - d,
    hi + d,
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
