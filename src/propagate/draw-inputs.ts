import type { RandomStream } from "../numeric/random-stream.js";
import { refuse } from "../numeric/refuse.js";
import type { JointInputs } from "./inputs.js";

/** Writes one random draw of all inputs into `x`. */
export type InputSampler = (stream: RandomStream, x: Float64Array) => void;

/**
 * Draws the inputs as JCGM 101:2008, 6.4 says: each from its own distribution; those that are correlated from a
 * multivariate normal (6.4.8).
 * @throws RangeError when a correlated input is not normal: a coefficient alone does not make a joint distribution
 */
export function inputSampler(joint: JointInputs): InputSampler {
  const { names, distributions, estimates, factor, correlated } = joint;
  const n = names.length;
  const together = names.map((_, i) => i).filter((i) => correlated[i]);
  for (const i of together)
    if (distributions[i]!.kind !== "normal")
      refuse(
        "a correlated input is not normal",
        "Monte Carlo needs a joint distribution, which a coefficient gives for normal inputs only",
        distributions[i]!.kind,
        names[i]!,
      );
  const alone = names.map((_, i) => i).filter((i) => !correlated[i]);
  const draws = alone.map((i) => distributions[i]!);
  const z = new Float64Array(n);
  return (stream, x) => {
    for (let k = 0; k < alone.length; k++) x[alone[k]!] = draws[k]!.draw(stream);
    for (const i of together) z[i] = stream.normal();
    for (const i of together) {
      let sum = estimates[i]!;
      for (const k of together) {
        if (k > i) break;
        sum += factor[i * n + k]! * z[k]!;
      }
      x[i] = sum;
    }
  };
}
