import { needLimits, needPositive } from "./checks.js";
import { bounded, type Distribution } from "./distribution.js";

/**
 * U-shaped distribution of a quantity that swings sinusoidally between `lo` and `hi` at an unknown phase
 * (JCGM 101, 6.4.6): u = (hi − lo)/√8; in the quantity's own unit.
 * @throws RangeError when lo ≥ hi
 */
export function arcSine(lo: number, hi: number, degreesOfFreedom = Infinity): Distribution {
  needLimits(lo, hi, "arcSine");
  needPositive(degreesOfFreedom, "the number of degrees of freedom", "arcSine");
  const half = (hi - lo) / 2;
  return bounded(
    "arc sine",
    lo,
    hi,
    half / Math.SQRT2,
    degreesOfFreedom,
    (p) => lo + half * (1 - Math.cos(Math.PI * p)),
  );
}
