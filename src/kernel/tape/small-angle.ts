import type { Tape } from "./tape.js";
import type { Value } from "./value.js";

/**
 * Angles up to this size, rad (10.3°), have their sine and cosine from the series below to the last bit or two: the first terms left out are 0.18¹³/13! = 3e-20 and 0.18¹²/12! = 2e-18.
 */
export const LARGEST_SMALL_ANGLE = 0.18;

/** Sine and cosine of a small angle by their Taylor series, written as 1 − x²/(k·(k+1))·(1 − …). */
export function smallAngle(tape: Tape, angle: Value): { sine: Value; cosine: Value } {
  const square = tape.multiply(angle, angle);
  const series = (steps: readonly number[]): Value =>
    steps.reduceRight((rest, k) => {
      const share = tape.constant(1 / (k * (k + 1)));
      return tape.subtract(tape.constant(1), tape.multiply(tape.multiply(square, share), rest));
    }, tape.constant(1));
  return { sine: tape.multiply(angle, series([2, 4, 6, 8, 10])), cosine: series([1, 3, 5, 7, 9]) };
}
