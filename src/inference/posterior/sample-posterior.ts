import { anneal, effectiveSampleSize } from "../../core/numeric/anneal.js";
import { addScaled, at, rowOf, rowsOf } from "../../core/numeric/dense.js";
import { walkEllipses } from "../../core/numeric/elliptical-slice.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";
import {
  type Likelihood,
  type LikelihoodFit,
  maximiseLikelihood,
  profileOf,
} from "../likelihood/maximise-likelihood.js";
import { mixtureLoss } from "../likelihood/reading-likelihood.js";
import { expectBlock, type ReadingBlock } from "../likelihood/trial-blocks.js";
import { initialGaussian } from "./initial-gaussian.js";
import { isNormal } from "./linear-forms.js";
import {
  momentsOf,
  type NormalRows,
  type SourceDistribution,
  type TrialDistribution,
  trialDistribution,
} from "./trial-distribution.js";
import { type State, type WeightedPosterior, weightedPosterior } from "./weighted-posterior.js";

/*
 * What the posterior is sampled with: p(x, u | readings) ∝ prior × likelihood over the sources x and all cut-to-cut errors u.
 *
 * `annealToPosterior` is sequential Monte Carlo: walkers (particles) drawn from a Gaussian are brought to the posterior by raising the rest of the density from power 0
 * to 1 in stages (P. Del Moral, A. Doucet and A. Jasra, Sequential Monte Carlo samplers, J. R. Stat. Soc. B 68, 2006). `samplePosterior` continues from there by
 * elliptical slice sampling about a Gaussian fitted to them (I. Murray, R. P. Adams and D. J. C. MacKay, Elliptical slice sampling, AISTATS 2010); the stages move
 * their walkers in the same way. Sampling ends at an effective sample size of 128 or after 8 rounds, whichever comes first (`SAMPLING`).
 * `mostProbable` is the mode, searched for from where the walkers are.
 */

const SAMPLING = {
  walkers: 128,
  /** Rounds at each power of the weight in annealing. */
  rounds: 3,
  /** Number of annealed walkers whose readings are linearised for the second reference Gaussian. */
  linearisedAt: 8,
  /** Rounds of elliptical slice sampling that are discarded, that are added at a time, and that are kept at most. */
  burnIn: 2,
  batch: 4,
  mostRounds: 8,
  /** Sampling ends at this effective sample size, or after `mostRounds` rounds if it is not reached by then. */
  leastEffectiveSize: 128,
} as const;

/** Factor on the variance of the second reference Gaussian: few rounds of annealing may underestimate it. */
const REFERENCE_INFLATION = 1.2;

interface Walkers {
  readonly states: readonly State[];
}

/**
 * Walkers from the Gaussian of priors and measured values to the posterior, in stages. A gap may be explained in several ways (a sharp point or a blunt one);
 * resampling gives each mode its share of the walkers. The result only starts `samplePosterior`, so cells are seated at first order.
 */
export function annealToPosterior(exact: Likelihood, stream: RandomStream): Walkers {
  const likelihood: Likelihood = { ...exact, job: { ...exact.job, order: "first" } };
  const target = weightedPosterior(likelihood, initialGaussian(likelihood));
  const points = drawPoints(target, stream);
  if (target.factors.length > 0)
    anneal(target, { walkers: SAMPLING.walkers, rounds: SAMPLING.rounds, stream, points });
  return { states: rowsOf(points, target.length).map((row) => target.stateOf(row)) };
}

/** Draws from the posterior, and its mean and covariance in the sources' prior standard deviations. */
export interface PosteriorDraws {
  readonly distribution: SourceDistribution;
  /** Whether the posterior is normal, so that `distribution` is exact. */
  readonly normal: boolean;
  /** Sources of each draw, in their prior standard deviations, row-major (draw, source). */
  readonly sample: Float64Array;
  /** Of the source that mixes worst. */
  readonly effectiveSampleSize: number;
}

/** Draws from the posterior in the job's order, continuing from annealed walkers. */
export function samplePosterior(
  likelihood: Likelihood,
  { states }: Walkers,
  stream: RandomStream,
): PosteriorDraws {
  const { job, readings } = likelihood;
  if (readings.every((reading) => isNormal(reading, job))) return sampleGaussian(likelihood, stream);
  const p = likelihood.sources.length;
  const annealed = joined(states.map(({ sources }) => sources));
  const target = weightedPosterior(likelihood, {
    distribution: momentsOf(annealed, p, REFERENCE_INFLATION),
    trials: averageTrialDistributions(likelihood, thinned(states, SAMPLING.linearisedAt)),
    exact: false,
  });
  const points = new Float64Array(SAMPLING.walkers * target.length);
  for (const [k, point] of rowsOf(points, target.length).entries()) target.writePoint(at(states, k), point);
  walkOn(target, points, SAMPLING.burnIn, stream);
  const rounds: Float64Array[] = [];
  for (;;) {
    rounds.push(...walkOn(target, points, SAMPLING.batch, stream));
    const sample = joined(rounds);
    const size = leastEffectiveSize(sample, p);
    if (size >= SAMPLING.leastEffectiveSize || rounds.length >= SAMPLING.mostRounds) {
      const distribution = momentsOf(sample, p, varianceInflation(size));
      return { sample, effectiveSampleSize: size, distribution, normal: false };
    }
  }
}

/** Inflation (n + 1)/(n − 1) of the variance of n draws: their own mean was subtracted, and that mean is uncertain too. */
const varianceInflation = (n: number): number => (n + 1) / Math.max(n - 1, 1);

/** Independent draws of a posterior that is the initial Gaussian itself. */
function sampleGaussian(likelihood: Likelihood, stream: RandomStream): PosteriorDraws {
  const gaussian = initialGaussian(likelihood);
  const target = weightedPosterior(likelihood, gaussian);
  const rounds = Array.from({ length: SAMPLING.mostRounds }, () =>
    sourcesAt(target, drawPoints(target, stream)),
  );
  return {
    sample: joined(rounds),
    effectiveSampleSize: rounds.length * SAMPLING.walkers,
    distribution: gaussian.distribution,
    normal: true,
  };
}

function drawPoints(target: WeightedPosterior, stream: RandomStream): Float64Array {
  const points = new Float64Array(SAMPLING.walkers * target.length);
  for (const point of rowsOf(points, target.length)) target.draw(point, stream);
  return points;
}

/** All walkers' sources, row-major (walker, source). */
function sourcesAt(target: WeightedPosterior, points: Float64Array): Float64Array {
  const sources = new Float64Array(SAMPLING.walkers * target.sources);
  for (const [k, row] of rowsOf(points, target.length).entries())
    target.readSources(row, sources, k * target.sources);
  return sources;
}

/** Moves the walkers by some rounds of elliptical slice sampling; returns all walkers' sources after each. */
function walkOn(
  target: WeightedPosterior,
  points: Float64Array,
  rounds: number,
  stream: RandomStream,
): Float64Array[] {
  const seen: Float64Array[] = [];
  const onRound = (): void => void seen.push(sourcesAt(target, points));
  walkEllipses(target, { walkers: SAMPLING.walkers, rounds, stream, points, onRound });
  return seen;
}

function joined(rounds: readonly Float64Array[]): Float64Array {
  const [size = 0] = rounds.map(({ length }) => length);
  const all = new Float64Array(rounds.length * size);
  for (const [r, round] of rounds.entries()) all.set(round, r * size);
  return all;
}

/** About `count` of the walkers, evenly spaced. */
const thinned = (states: readonly State[], count: number): State[] =>
  states.filter((_, k) => k % Math.ceil(states.length / count) === 0);

function leastEffectiveSize(sample: Float64Array, p: number): number {
  const sizes = Array.from({ length: p }, (_, i) =>
    effectiveSampleSize(sample.length / p, SAMPLING.walkers, (k) => sample[k * p + i] as number),
  );
  return Math.min(...sizes);
}

/** Number of walkers whose density is compared for the start of the search. */
const STARTS = 6;

/**
 * The most probable sources and cut-to-cut errors. The search starts from the walker of highest density: from the prior mean it could stop at the kink of a closing
 * joint, or at the lesser of two modes of a gap read at its widest. Walkers are compared at first order, each with the cut-to-cut errors that are most probable for its sources.
 */
export function mostProbable(likelihood: Likelihood, { states }: Walkers): LikelihoodFit {
  const first: Likelihood = { ...likelihood, job: { ...likelihood.job, order: "first" } };
  const found = thinned(states, STARTS).map(({ sources, latents }) => {
    const near = latents.map((own) => ({ latents: own }));
    const { terms, modes } = profileOf(first, near)(sources);
    return { sources, modes, value: terms.value };
  });
  const { sources, modes } = found.reduce((a, b) => (b.value < a.value ? b : a));
  const from = sources.map((value, i) => value * at(likelihood.sources, i).priorSd);
  return maximiseLikelihood(likelihood, from, modes);
}

/**
 * For each trial the distribution of its cut-to-cut errors, its readings linearised and averaged over states of walkers: at each state a reading is a row of slope √ρ″·∂μ.
 * A reading whose slope changes from state to state so counts for little. First order is enough, since a reference Gaussian need not be exact.
 */
export function averageTrialDistributions(
  likelihood: Likelihood,
  states: readonly State[],
): TrialDistribution[] {
  const first = { ...likelihood, job: { ...likelihood.job, order: "first" as const } };
  return likelihood.blocks.map((block, b) =>
    trialDistribution(averageRows(first, block, b, states), block.latents),
  );
}

function averageRows(
  { job, sources }: Likelihood,
  block: ReadingBlock,
  b: number,
  states: readonly State[],
): NormalRows {
  const [n, r, p] = [block.latents, block.readings.length, sources.length];
  const out = { a: new Float64Array(r * n), b: new Float64Array(r * p), y: new Float64Array(r) };
  const share = 1 / states.length;
  const unit = Float64Array.from(sources, ({ priorSd }) => priorSd);
  for (const { sources: x, latents } of states) {
    const u = at(latents, b);
    const { mu, byLatent, bySource } = expectBlock(job, block, scaled(x, unit), u);
    for (const [i, reading] of block.readings.entries()) {
      const { slope, curvature } = mixtureLoss(reading, at(mu, i), at(block.noise, i), job.mistakes);
      if (!(curvature > 0)) continue;
      const root = Math.sqrt(curvature);
      const own = rowOf(byLatent, i, n).map((by) => root * by);
      const shared = scaled(
        rowOf(bySource, i, p).map((by) => root * by),
        unit,
      );
      let y = -slope / root;
      for (const [k, by] of own.entries()) y += by * at(u, k);
      for (const [c, by] of shared.entries()) y += by * at(x, c);
      addScaled(rowOf(out.a, i, n), own, share);
      addScaled(rowOf(out.b, i, p), shared, share);
      out.y[i] = at(out.y, i) + share * y;
    }
  }
  return informativeRows(out, n, p);
}

const scaled = (values: Float64Array, by: Float64Array): Float64Array =>
  values.map((value, i) => value * at(by, i));

/** The rows that depend on any cut-to-cut error. */
function informativeRows({ a, b, y }: NormalRows, n: number, p: number): NormalRows {
  const kept = [...y.keys()].filter((i) => rowOf(a, i, n).some((by) => by !== 0));
  const of = (from: Float64Array, width: number): Float64Array =>
    joined(kept.map((i) => rowOf(from, i, width)));
  return { a: of(a, n), b: of(b, p), y: of(y, 1) };
}
