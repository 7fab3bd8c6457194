import type { Tape } from "./tape.js";
import type { Value } from "./value.js";

/** What the first terms left out of the series may amount to. */
const LEFT_OUT = 1e-17;

/**
 * Sine and cosine of an angle of at most `limit` (rad, < 1) by their Taylor series, written as 1 − x²/(k·(k+1))·(1 − …); as many terms as the limit needs for the last bit.
 */
export function smallAngle(tape: Tape, angle: Value, limit: number): { sine: Value; cosine: Value } {
  const square = tape.multiply(angle, angle);
  const series = (first: number): Value => {
    const ratios: number[] = [];
    let term = 1;
    for (let k = first; ; k += 2) {
      const ratio = 1 / (k * (k + 1));
      term *= limit * limit * ratio;
      if (term < LEFT_OUT) break;
      ratios.push(ratio);
    }
    const one = tape.constant(1);
    return ratios.reduceRight(
      (rest, ratio) => tape.subtract(one, tape.multiply(tape.multiply(tape.constant(ratio), square), rest)),
      one,
    );
  };
  return { sine: tape.multiply(angle, series(2)), cosine: series(1) };
}
