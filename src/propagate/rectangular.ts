import { needLimits, needPositive } from "./checks.js";
import { bounded, type Distribution } from "./distribution.js";

/**
 * Equal density between `lo` and `hi`, none outside (JCGM 101, 6.4.2): u = (hi − lo)/√12; in the quantity's own unit.
 * @throws RangeError when lo ≥ hi
 */
export function rectangular(lo: number, hi: number, degreesOfFreedom = Infinity): Distribution {
  needLimits(lo, hi, "rectangular");
  needPositive(degreesOfFreedom, "the number of degrees of freedom", "rectangular");
  const width = hi - lo;
  return bounded("rectangular", lo, hi, width / Math.sqrt(12), degreesOfFreedom, (p) => lo + width * p);
}
