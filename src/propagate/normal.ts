import { normalQuantile } from "../numeric/normal-quantile.js";
import { needFinite, needNotNegative, needPositive } from "./checks.js";
import type { Distribution } from "./distribution.js";

/**
 * Normal distribution N(estimate, u²) (JCGM 101, 6.4.7). `degreesOfFreedom` counts in the law of propagation only;
 * a Type A result whose few readings should widen Monte Carlo too is {@link studentT}.
 * @throws RangeError when u is negative
 */
export function normal(
  estimate: number,
  standardUncertainty: number,
  degreesOfFreedom = Infinity,
): Distribution {
  needFinite(estimate, "the estimate", "normal");
  needNotNegative(standardUncertainty, "the standard uncertainty", "normal");
  needPositive(degreesOfFreedom, "the number of degrees of freedom", "normal");
  return {
    kind: "normal",
    estimate,
    standardUncertainty,
    standardDeviation: standardUncertainty,
    degreesOfFreedom,
    support: [-Infinity, Infinity],
    quantile: (p) => estimate + standardUncertainty * normalQuantile(p),
    draw: (stream) => estimate + standardUncertainty * stream.normal(),
  };
}
