import { tQuantile } from "../numeric/student-t-quantile.js";
import { needFinite, needPositive } from "./checks.js";
import type { Distribution } from "./distribution.js";

/**
 * Scaled and shifted Student's t (JCGM 101, 6.4.9): what `n` independent readings say of their mean, with
 * estimate x̄, scale s/√n and n − 1 degrees of freedom. Any real ν > 0; drawn exactly by the polar method of
 * R. W. Bailey (Math. Comp. 62, 1994).
 *
 * The law of propagation takes the scale as standard uncertainty with ν degrees of freedom; the distribution's own
 * standard deviation is scale·√(ν/(ν − 2)).
 * @throws RangeError when scale or ν is not positive
 */
export function studentT(estimate: number, scale: number, degreesOfFreedom: number): Distribution {
  needFinite(estimate, "the estimate", "studentT");
  needPositive(scale, "the scale", "studentT");
  needPositive(degreesOfFreedom, "the number of degrees of freedom", "studentT");
  const nu = degreesOfFreedom;
  return {
    kind: "Student t",
    estimate,
    standardUncertainty: scale,
    standardDeviation: nu > 2 ? (nu === Infinity ? scale : scale * Math.sqrt(nu / (nu - 2))) : Infinity,
    degreesOfFreedom: nu,
    support: [-Infinity, Infinity],
    quantile: (p) => estimate + scale * tQuantile(p, nu),
    draw: (stream) => {
      if (nu === Infinity) return estimate + scale * stream.normal();
      const radius = Math.sqrt(nu * Math.expm1((-2 / nu) * Math.log1p(-stream.uniform())));
      return estimate + scale * radius * Math.cos(2 * Math.PI * stream.uniform());
    },
  };
}
