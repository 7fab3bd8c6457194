import type { Source } from "../cutting/sources.js";
import { inverseOf } from "./criterion.js";

/** Mean over scenarios of the covariance that goes with their information (in units of the prior standard deviations); rad and mm, row-major. */
export function expectedCovariance(sources: readonly Source[], sums: readonly Float64Array[]): Float64Array {
  const p = sources.length;
  const out = new Float64Array(p * p);
  for (const sum of sums) {
    const inverse = inverseOf(sum, p)!;
    for (let k = 0; k < p * p; k++)
      out[k]! +=
        (inverse[k]! * sources[Math.floor(k / p)]!.trustedTo * sources[k % p]!.trustedTo) / sums.length;
  }
  return out;
}
