import { addScaled, at, innerProduct, rowOf, rowsOf, rowTimes } from "../../core/numeric/dense.js";
import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import { type Minimum, minimiseTerms, type Terms } from "../../core/numeric/minimise-terms.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { Source } from "../../model/sources.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import { JobCells } from "../likelihood/read-specimen.js";
import { mixtureLoss, type ReadingLoss } from "../likelihood/reading-likelihood.js";
import { caseAt, jointPrior, type SourcePrior, whitenedIn } from "../likelihood/source-prior.js";
import {
  type BlockExpectation,
  expectBlock,
  expectValues,
  type ReadingBlock,
  trialBlocks,
} from "../likelihood/trial-blocks.js";

/** The posterior density up to its constant: the readings by trial, the sources that they depend on, and the weight of the priors. */
export interface TargetDensity {
  readonly job: Job;
  readonly cells: JobCells;
  readonly sources: readonly Source[];
  readonly readings: readonly Reading[];
  readonly blocks: readonly ReadingBlock[];
  /** The prior of the sources if records correlate some of them or give two sides for one; `null` if all are independent and normal. */
  readonly prior: SourcePrior | null;
  /** Factor on the log prior: 1 as stated, 0 for none. */
  readonly priorWeight: number;
}

/** Values of the sources (rad and mm) in units of their prior standard deviations. */
export const inPriorSds = (values: Float64Array, sources: readonly Pick<Source, "priorSd">[]): Float64Array =>
  values.map((value, i) => value / at(sources, i).priorSd);

/** Values of the sources in units of their prior standard deviations as rad and mm. */
export const fromPriorSds = (x: Float64Array, sources: readonly Pick<Source, "priorSd">[]): Float64Array =>
  x.map((value, i) => value * at(sources, i).priorSd);

/** The most probable sources, and the trials' cut-to-cut errors there. */
export interface PosteriorMode {
  /** Sources at the mode, rad or mm. */
  readonly estimates: Float64Array;
  /** @internal */
  readonly modes: readonly BlockMode[];
  readonly minimum: Minimum;
}

export function targetDensity(
  job: Job,
  sources: readonly Source[],
  readings: readonly Reading[],
  cells: JobCells = new JobCells(),
): TargetDensity {
  const blocks = trialBlocks(job, readings, cells);
  return { job, sources, readings, cells, blocks, prior: jointPrior(job, sources), priorWeight: 1 };
}

/**
 * Maximum a posteriori (without priors: maximum likelihood) by trust-region Gauss–Newton on the profile over the cut-to-cut errors. The unknowns are in units of each source's
 * prior standard deviation; each trial's cut-to-cut errors are at their mode given the sources.
 */
export function posteriorMode(
  problem: TargetDensity,
  start: Float64Array,
  near: readonly { readonly latents: Float64Array }[] = [],
  accuracy: Accuracy = TO_PRINT,
): PosteriorMode {
  const { sources } = problem;
  const profile = profileOf(problem, near, accuracy);
  const options = {
    stepTolerance: accuracy.step,
    valueTolerance: accuracy.value,
    mostSteps: MOST_STEPS,
    kinked: true,
  };
  const minimum = minimiseTerms((z) => profile(z).terms, inPriorSds(start, sources), options);
  const { modes } = profile(minimum.x);
  return { estimates: fromPriorSds(minimum.x, sources), modes, minimum };
}

/** Termination tolerances of the searches of a maximisation. */
export interface Accuracy {
  /** Step, as a share of the unknowns, and change of the log likelihood, below which the outer search ends. */
  readonly step: number;
  readonly value: number;
  /** The same for the modes of the cut-to-cut errors: step as a share of their standard deviations, and increase of the log likelihood. */
  readonly modeStep: number;
  readonly modeRise: number;
}

/** Finer tolerances would not change any printed figure; kinks of closing joints prevent a finer step. */
const TO_PRINT: Accuracy = { step: 1e-7, value: 1e-8, modeStep: 1e-7, modeRise: 1e-11 };
/** Sufficient if only the log likelihood is needed, to an accuracy of 0.001. */
export const TO_COMPARE: Accuracy = { step: 1e-4, value: 1e-4, modeStep: 1e-4, modeRise: 1e-6 };
const MOST_STEPS = 60;

/** −log posterior density at x with each trial's cut-to-cut errors at their mode, as terms for the solver. */
interface Profile {
  readonly terms: Terms;
  readonly modes: readonly BlockMode[];
}

/**
 * The profile of a target density over its sources (in units of their prior standard deviations).
 *
 * With the trial's slopes s and curvatures ρ″ at the mode, L·Lᵀ = I + A·Aᵀ and B = √ρ″·∂μ/∂x, the rows L⁻¹B and residuals Lᵀ(s/√ρ″) have the profile's gradient
 * Bᵀ(s/√ρ″) and its Gauss–Newton Hessian Bᵀ(I + AAᵀ)⁻¹B. The search for the modes starts from the modes found last,
 * and the first search from `near`.
 */
export function profileOf(
  problem: TargetDensity,
  near: readonly { readonly latents: Float64Array }[] = [],
  accuracy: Accuracy = TO_PRINT,
): (x: Float64Array) => Profile {
  const { job, sources, blocks, prior, priorWeight } = problem;
  const priors = priorWeight > 0;
  const root = Math.sqrt(priorWeight);
  const p = sources.length;
  let last = blocks.map(({ latents }, b) => near[b]?.latents ?? new Float64Array(latents));
  return (x) => {
    const values = fromPriorSds(x, sources);
    const modes = orNothing(() =>
      blocks.map((block, b) => blockMode(job, block, values, at(last, b), accuracy)),
    );
    if (modes === null) return { terms: impossible(problem), modes: [] };
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
    // If the prior is a mixture, use the component that is most probable here.
    const known = priors && prior ? caseAt(prior, x) : null;
    const whitened = known && whitenedIn(known, x);
    if (known) value -= priorWeight * known.log;
    for (const [c, { priorMean = 0, priorSd }] of priors ? sources.entries() : []) {
      const own = root * (whitened ? at(whitened, c) : at(x, c) - priorMean / priorSd);
      slope[row] = own;
      value += own ** 2 / 2;
      if (known) addScaled(rowOf(jacobian, row, p), rowOf(known.whitening, c, p), root);
      else jacobian[row * p + c] = root;
      row++;
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
  const unit = sources.map(({ priorSd }) => priorSd);
  // s/√ρ″: a reading with zero curvature also has zero slope.
  const scaled = losses.map(({ slope: s, curvature }) => (curvature > 0 ? s / Math.sqrt(curvature) : 0));
  for (const [i, { curvature }] of losses.entries()) {
    const lower = rowOf(factor, i, r);
    addScaled(slope.subarray(0, i + 1), lower, at(scaled, i));
    const root = Math.sqrt(curvature);
    const row = rowOf(jacobian, i, p);
    row.set(rowOf(expectation.bySource, i, p).map((value, c) => root * value * at(unit, c)));
    for (let k = 0; k < i; k++) addScaled(row, rowOf(jacobian, k, p), -at(lower, k));
    const pivot = at(lower, i);
    for (const [c, value] of row.entries()) row[c] = value / pivot;
  }
}

function impossible({ readings, sources }: TargetDensity): Terms {
  const rows = readings.length + sources.length;
  return {
    value: Number.POSITIVE_INFINITY,
    slope: new Float64Array(rows),
    curvature: new Float64Array(rows),
    jacobian: new Float64Array(rows * sources.length),
  };
}

/** The most probable cut-to-cut errors of a trial at given sources. */
export interface BlockMode {
  readonly latents: Float64Array;
  readonly expectation: BlockExpectation;
  readonly losses: readonly (ReadingLoss & { readonly good: number })[];
  /** −log likelihood of the readings plus ½ Σ latents². */
  readonly value: number;
  /** Cholesky factor of I + A·Aᵀ with A = √ρ″·∂μ/∂latent, in the space of the readings, row-major. */
  readonly factor: Float64Array;
}

const MOST_MODE_STEPS = 40;
const LEAST_SHARE = 1 / 64;

/**
 * The mode over a trial's cut-to-cut errors by damped generalised Gauss–Newton. There are far more errors than readings, so each step is solved in the space of
 * the readings: (I + AᵀA)⁻¹g = g − Aᵀ(I + AAᵀ)⁻¹A·g.
 */
export function blockMode(
  job: Job,
  block: ReadingBlock,
  sources: Float64Array,
  start: Float64Array,
  { modeStep, modeRise }: Accuracy = TO_PRINT,
): BlockMode {
  let at = blockModeAt(job, block, sources, start);
  for (let step = 0; step < MOST_MODE_STEPS; step++) {
    const { direction, promised } = gaussNewton(at, block);
    const largest = direction.reduce((most, d) => Math.max(most, Math.abs(d)), 0);
    if (largest <= modeStep || promised <= modeRise) break;
    const next = lineSearch(job, block, sources, at, direction);
    if (next === null) break;
    at = next;
  }
  return at;
}

function blockModeAt(job: Job, block: ReadingBlock, sources: Float64Array, latents: Float64Array): BlockMode {
  const expectation = expectBlock(job, block, sources, latents);
  const losses = block.readings.map((reading, i) =>
    mixtureLoss(reading, at(expectation.mu, i), at(block.noise, i), job.mistakes),
  );
  const value =
    losses.reduce((sum, loss) => sum + loss.value, 0) + latents.reduce((sum, v) => sum + (v * v) / 2, 0);
  return {
    latents,
    expectation,
    losses,
    value,
    factor: factorInReadings(expectation, losses, block.latents),
  };
}

function factorInReadings(
  { byLatent }: BlockExpectation,
  losses: readonly ReadingLoss[],
  n: number,
): Float64Array {
  const r = losses.length;
  const out = new Float64Array(r * r);
  for (const [i, { curvature }] of losses.entries()) {
    const own = rowOf(byLatent, i, n);
    for (let j = 0; j <= i; j++) {
      const root = Math.sqrt(curvature * at(losses, j).curvature);
      const value = root * rowTimes(byLatent, j, n, own) + (i === j ? 1 : 0);
      out[i * r + j] = value;
      out[j * r + i] = value;
    }
  }
  choleskyInPlace(out, r, 0);
  return out;
}

/** The step and its predicted decrease: half of its directional derivative. */
function gaussNewton(
  { latents, expectation, losses, factor }: BlockMode,
  block: ReadingBlock,
): { direction: Float64Array; promised: number } {
  const n = block.latents;
  const { byLatent } = expectation;
  const gradient = Float64Array.from(latents);
  for (const [i, { slope }] of losses.entries()) addScaled(gradient, rowOf(byLatent, i, n), slope);
  const inReadings = Float64Array.from(
    losses,
    ({ curvature }, i) => Math.sqrt(curvature) * rowTimes(byLatent, i, n, gradient),
  );
  choleskySolveInPlace(factor, losses.length, inReadings);
  const step = gradient.map((g) => -g);
  for (const [i, { curvature }] of losses.entries())
    addScaled(step, rowOf(byLatent, i, n), Math.sqrt(curvature) * at(inReadings, i));
  const promised = -innerProduct(step, gradient) / 2;
  return { direction: step, promised };
}

/** Backtracking line search: the step is halved until the value decreases; `null` when it does not. Derivatives are computed only for the accepted step. */
function lineSearch(
  job: Job,
  block: ReadingBlock,
  sources: Float64Array,
  from: BlockMode,
  direction: Float64Array,
): BlockMode | null {
  for (let share = 1; share >= LEAST_SHARE; share /= 2) {
    const latents = from.latents.map((v, k) => v + share * at(direction, k));
    if (blockLoss(job, block, sources, latents) < from.value)
      return blockModeAt(job, block, sources, latents);
  }
  return null;
}

/** −log likelihood of a trial's readings plus ½ Σ latents², at given sources (rad and mm) and standardised cut-to-cut errors. */
export function blockLoss(
  job: Job,
  block: ReadingBlock,
  sources: Float64Array,
  latents: Float64Array,
): number {
  const mu = expectValues(job, block, sources, latents);
  let value = 0;
  for (const [i, reading] of block.readings.entries())
    value += mixtureLoss(reading, at(mu, i), at(block.noise, i), job.mistakes).value;
  for (const v of latents) value += (v * v) / 2;
  return value;
}

/** Σ ρ″·∂m∂mᵀ: the expected (Gauss–Newton) information of terms, positive semi-definite. */
export function expectedInformation({ curvature, jacobian }: Terms, p: number): Float64Array {
  const out = new Float64Array(p * p);
  const sums = rowsOf(out, p);
  for (const [i, weight] of curvature.entries()) {
    const row = rowOf(jacobian, i, p);
    for (const [j, sum] of sums.entries()) addScaled(sum, row, weight * at(row, j));
  }
  return out;
}
