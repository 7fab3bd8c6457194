import { normalCentral } from "./normal-cdf.js";
import { hazardExcess } from "./normal-hazard.js";
import { normalLogCdf } from "./normal-log-cdf.js";
import { normalPdf } from "./normal-pdf.js";
import { refuse } from "./refuse.js";

/** Within this probability of ½ the equation is solved from the middle, outside it from the tail. */
const MIDDLE = 0.25;

/**
 * The `z` with Φ(z) = `p`, 0 ≤ p ≤ 1 (−∞ and +∞ at the ends). Relative error ≤ 1e-15 over every double `p`,
 * down to 5e-324 (measured; the upper tail is as exact as the double 1 − p allows).
 *
 * In the middle Newton with Φ − ½, in the tails Newton with log Φ, both with the second-order (Halley) term.
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
