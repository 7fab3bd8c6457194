import type { Source } from "../cutting/sources.js";
import type { Job } from "../job/job.js";
import { type Minimum, minimiseTerms, type Terms } from "../numeric/minimise-terms.js";
import { orNothing } from "../predict/or-nothing.js";
import type { Reading } from "../readings/reading.js";
import { type BlockMode, blockMode } from "./block-mode.js";
import { type TrialBlock, trialBlocks } from "./trial-blocks.js";

/** A likelihood to maximise: readings by trial, what they depend on, and how loud the job's prior tolerances speak. */
export interface Likelihood {
  readonly job: Job;
  readonly sources: readonly Source[];
  readonly readings: readonly Reading[];
  readonly blocks: readonly TrialBlock[];
  /** Weight of the priors: 1 as stated, 0 for none, little for hardly any. */
  readonly priorWeight: number;
}

/** The most probable sources, and the trials' cut-to-cut errors there. */
export interface LikelihoodFit {
  /** rad or mm. */
  readonly estimates: Float64Array;
  readonly modes: readonly BlockMode[];
  readonly minimum: Minimum;
}

export function likelihoodOf(job: Job, sources: readonly Source[], readings: readonly Reading[]): Likelihood {
  return { job, sources, readings, blocks: trialBlocks(job, readings), priorWeight: 1 };
}

/**
 * Maximum likelihood (with priors: the most probable values). The unknowns are solved for in units of each source's prior standard deviation;
 * each trial's cut-to-cut errors follow at their mode.
 */
export function maximiseLikelihood(
  problem: Likelihood,
  start: Float64Array,
  near: readonly { readonly latents: Float64Array }[] = [],
): LikelihoodFit {
  const unit = problem.sources.map(({ trustedTo }) => trustedTo);
  const profile = profileOf(problem, near);
  const options = {
    stepTolerance: STEP_TOLERANCE,
    valueTolerance: VALUE_TOLERANCE,
    mostSteps: MOST_STEPS,
    kinked: true,
  };
  const minimum = minimiseTerms(
    (z) => profile(z).terms,
    start.map((value, i) => value / unit[i]!),
    options,
  );
  const { modes } = profile(minimum.x);
  return { estimates: minimum.x.map((value, i) => value * unit[i]!), modes, minimum };
}

/** Steps below this share of the unknowns do not matter to any figure that is printed; kinks of closing joints may hinder finer ones. */
const STEP_TOLERANCE = 1e-7;
/** A log likelihood that differs by less says nothing; the modes within it are found no more finely. */
const VALUE_TOLERANCE = 1e-8;
const MOST_STEPS = 60;

/** −log likelihood at x, each trial's cut-to-cut errors at their mode, as terms for the solver. */
export interface Profile {
  readonly terms: Terms;
  readonly modes: readonly BlockMode[];
}

/**
 * The profile of a likelihood over its sources (in units of their prior standard deviations).
 *
 * With the trial's slopes s and curvatures ρ″ at the mode, L·Lᵀ = I + A·Aᵀ and B = √ρ″·∂μ/∂x, the rows L⁻¹B and residuals Lᵀ(s/√ρ″) have the profile's gradient
 * Bᵀ(s/√ρ″) and its Gauss–Newton Hessian Bᵀ(I + AAᵀ)⁻¹B. The modes start from where they were last found,
 * the first time from `near`.
 */
export function profileOf(
  problem: Likelihood,
  near: readonly { readonly latents: Float64Array }[] = [],
): (x: Float64Array) => Profile {
  const { job, sources, blocks, priorWeight } = problem;
  const priors = priorWeight > 0;
  const root = Math.sqrt(priorWeight);
  const p = sources.length;
  let last = blocks.map(({ latents }, b) => near[b]?.latents ?? new Float64Array(latents));
  return (x) => {
    const values = x.map((value, i) => value * sources[i]!.trustedTo);
    const modes = orNothing(() => blocks.map((block, b) => blockMode(job, block, values, last[b]!)));
    if (modes === null) return { terms: unlikely(problem), modes: [] };
    last = modes.map(({ latents }) => Float64Array.from(latents));
    const rows = modes.reduce((sum, { losses }) => sum + losses.length, 0) + (priors ? p : 0);
    const slope = new Float64Array(rows);
    const jacobian = new Float64Array(rows * p);
    let value = 0;
    let row = 0;
    for (const mode of modes) {
      value += mode.value;
      whiten(mode, sources, slope.subarray(row), jacobian.subarray(row * p));
      row += mode.losses.length;
    }
    for (let c = 0; priors && c < p; c++, row++) {
      const { expected = 0, trustedTo } = sources[c]!;
      slope[row] = root * (x[c]! - expected / trustedTo);
      value += slope[row]! ** 2 / 2;
      jacobian[row * p + c] = root;
    }
    return { terms: { value, slope, curvature: new Float64Array(rows).fill(1), jacobian }, modes };
  };
}

function whiten(
  { losses, expectation, factor }: BlockMode,
  sources: readonly Source[],
  slope: Float64Array,
  jacobian: Float64Array,
): void {
  const p = sources.length;
  const r = losses.length;
  const roots = losses.map(({ curvature }) => Math.sqrt(curvature));
  for (let i = 0; i < r; i++) {
    // Lᵀ(s/√ρ″): a reading without curvature has no slope either.
    for (let k = i; k < r; k++) {
      if (roots[k]! > 0) slope[i]! += factor[k * r + i]! * (losses[k]!.slope / roots[k]!);
    }
    for (let c = 0; c < p; c++) {
      let sum = roots[i]! * expectation.bySource[i * p + c]! * sources[c]!.trustedTo;
      for (let k = 0; k < i; k++) sum -= factor[i * r + k]! * jacobian[k * p + c]!;
      jacobian[i * p + c] = sum / factor[i * r + i]!;
    }
  }
}

function unlikely({ readings, sources }: Likelihood): Terms {
  const rows = readings.length + sources.length;
  return {
    value: Number.POSITIVE_INFINITY,
    slope: new Float64Array(rows),
    curvature: new Float64Array(rows),
    jacobian: new Float64Array(rows * sources.length),
  };
}
