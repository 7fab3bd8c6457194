import { at, columnOf, entryOf, innerProduct } from "../../core/numeric/dense.js";
import { choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import type { ErrorKind } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import type { BlockMode, Likelihood } from "./maximise-likelihood.js";

/** Which standard deviation of the job a cut-to-cut error has; those of the grid's walls are not estimated. */
const SD_OF_KIND: Partial<Record<ErrorKind, keyof Job["betweenCutSd"]>> = {
  angle: "angle",
  axial: "length",
  thickness: "thickness",
};

/** One between-cut standard deviation: stated, estimated, used. */
export interface BetweenCutSdEvidence {
  /** As the job states it, rad or mm. */
  readonly stated: number;
  /** Used in the fit, rad or mm: the estimate, or the stated value where there are too few degrees of freedom. */
  readonly used: number;
  /** Effective number of cut-to-cut errors that the readings determine, after those spent on the sources. */
  readonly degreesOfFreedom: number;
  readonly estimated: boolean;
}

/** The between-cut standard deviations a fit used, by kind of error. */
export type BetweenCutSdEstimate = { readonly [key in keyof Job["betweenCutSd"]]: BetweenCutSdEvidence };

/** Number of cut-to-cut errors that the stated value counts as. */
export const STATED_SD_WEIGHT = 6;
/** Least degrees of freedom for an estimate. */
const FEWEST = 3;

/**
 * Restricted maximum likelihood for the between-cut standard deviations: with û the modes of the standardised errors and γ the share of each one's variance that the
 * readings take away (Laplace, over the sources too), the maximum satisfies σ² = Σ û²/Σ γ (D. J. C. MacKay, Bayesian interpolation, 1992, from memory);
 * the job's value counts as {@link STATED_SD_WEIGHT} errors more.
 *
 * @param stated the job as written; the likelihood's job may hold the estimates of an earlier round.
 * @param covariance of the sources in units of their prior standard deviations, row-major.
 */
export function estimateBetweenCutSds(
  { blocks, sources, job }: Likelihood,
  modes: readonly BlockMode[],
  covariance: Float64Array,
  stated: Pick<Job, "betweenCutSd">,
): BetweenCutSdEstimate {
  const squares = { angle: 0, length: 0, thickness: 0 };
  const determined = { angle: 0, length: 0, thickness: 0 };
  const unit = sources.map(({ priorSd }) => priorSd);
  for (const [b, block] of blocks.entries()) {
    const mode = at(modes, b);
    const shares = determinedShares(mode, block.latents, unit, covariance);
    for (const [k, kind] of block.kinds.entries()) {
      const of = SD_OF_KIND[kind];
      if (!of) continue;
      squares[of] += at(mode.latents, k) ** 2;
      determined[of] += at(shares, k);
    }
  }
  const evidence = (of: keyof Job["betweenCutSd"]): BetweenCutSdEvidence => {
    const [now, claim] = [job.betweenCutSd[of], stated.betweenCutSd[of]];
    const estimated = determined[of] >= FEWEST && claim > 0;
    const variance =
      (now ** 2 * squares[of] + claim ** 2 * STATED_SD_WEIGHT) / (determined[of] + STATED_SD_WEIGHT);
    return {
      stated: claim,
      estimated,
      degreesOfFreedom: determined[of],
      used: estimated ? Math.sqrt(variance) : claim,
    };
  };
  return { angle: evidence("angle"), length: evidence("length"), thickness: evidence("thickness") };
}

/** Share γ of each standardised error's variance that the readings remove: 1 − its posterior variance. */
function determinedShares(
  { losses, expectation, factor }: BlockMode,
  n: number,
  unit: readonly number[],
  covariance: Float64Array,
): Float64Array {
  const r = losses.length;
  const p = unit.length;
  const roots = losses.map(({ curvature }) => Math.sqrt(curvature));
  const a = expectation.byLatent.map((slope, i) => slope * at(roots, Math.floor(i / n)));
  const solve = (column: Float64Array): Float64Array => {
    choleskySolveInPlace(factor, r, column);
    return column;
  };
  // W·A and W·B with W = (I + AAᵀ)⁻¹; Aᵀ·W·B is how the modes follow the sources.
  const wb = unit.map((scale, c) => {
    const bySource = columnOf(expectation.bySource, c, p);
    return solve(bySource.map((slope, i) => at(roots, i) * slope * scale));
  });
  return Float64Array.from({ length: n }, (_, k) => {
    const own = columnOf(a, k, n);
    const following = Float64Array.from(wb, (column) => innerProduct(own, column));
    let share = innerProduct(own, solve(own.slice()));
    for (const [c, left] of following.entries())
      for (const [d, right] of following.entries()) share -= left * entryOf(covariance, c, d, p) * right;
    return Math.max(0, share);
  });
}
