import { minimiseTerms, type Terms } from "../../../src/core/numeric/minimise-terms.js";
import { type Check, compareRows, published } from "./check.js";

interface File {
  failures: number[];
  censoredAt: number;
  censored: number;
  printed: { shape: number; scale: number };
  recomputed: { shape: number; scale: number; logLikelihood: number };
}

/** Weibull lifetimes cut off at 500 h: the solver on a likelihood that is not normal. */
export function checks(): Check[] {
  const { failures, censoredAt, censored, printed, recomputed } = published<File>("weibull-e-handbook");
  const { x, terms, converged } = minimiseTerms(
    weibullTerms(failures, new Array<number>(censored).fill(censoredAt)),
    [Math.log(censoredAt), 1],
  );
  const ours = (value: number): number => (converged ? value : Number.NaN);
  const [shape, scale] = [x[1]!, Math.exp(x[0]! / x[1]!)];
  return compareRows(
    "weibull",
    {
      document: "NIST/SEMATECH e-Handbook",
      place: "8.4.1, data from memory",
      kind: "remembered",
    },
    [
      ["shape", "shape, as printed", printed.shape, ours(shape), 1e-4],
      ["scale", "scale, h, as printed", printed.scale, ours(scale), 1e-3],
      ["shape-exact", "shape (recomputed)", recomputed.shape, ours(shape), 1e-7, "recomputed"],
      ["scale-exact", "scale, h (recomputed)", recomputed.scale, ours(scale), 1e-5, "recomputed"],
      [
        "logL",
        "log-likelihood (recomputed)",
        recomputed.logLikelihood,
        ours(-terms.value),
        1e-7,
        "recomputed",
      ],
    ],
  );
}

/** −log L in θ = shape and δ = θ·log(scale): with m = θ·log t − δ each loss is eᵐ, for a failure also −m − log θ + log t: convex in one combination. */
function weibullTerms(failures: readonly number[], running: readonly number[]) {
  return ([delta, theta]: Float64Array): Terms => {
    const times = [...failures, ...running];
    const hazards = times.map((t) => Math.exp(theta! * Math.log(t) - delta!));
    const failed = (i: number): number => (i < failures.length ? 1 : 0);
    const value = times.reduce(
      (sum, t, i) => sum + hazards[i]! - failed(i) * (Math.log(hazards[i]!) + Math.log(theta!) - Math.log(t)),
      0,
    );
    return {
      value,
      slope: Float64Array.of(...hazards.map((h, i) => h - failed(i)), -failures.length / theta!),
      curvature: Float64Array.of(...hazards, failures.length / theta! ** 2),
      jacobian: Float64Array.from([...times.flatMap((t) => [-1, Math.log(t)]), 0, 1]),
    };
  };
}
