import { anneal, effectiveSampleSize } from "../../core/numeric/anneal.js";
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

/** The two walks. */
const SAMPLING = {
  /** Walkers side by side. */
  walkers: 128,
  /** Rounds of the first walk at each power of the weight. */
  rounds: 3,
  /** So many walkers of the first shape the frame of the second. */
  shapedBy: 8,
  /** Rounds of the second that are not kept, then so many at a time until they are worth `wanted` independent draws, at most `most`. */
  burnIn: 2,
  batch: 4,
  mostRounds: 8,
  leastEffectiveSize: 128,
} as const;

/** Where the walkers of a walk stand. */
interface Walkers {
  readonly states: readonly State[];
}

/** The second frame is this much wider than what the first walk saw, as a ratio of variances: it saw little. */
const REFERENCE_INFLATION = 1.2;

/**
 * A first walk, from the prior and the values read in the hand to the posterior by stages. What a gap says of the sources may have several answers (a sharp point or a blunt one),
 * and the walkers are to be on each as often as it is likely. It only shapes the second walk, so pieces are seated at first order.
 */
export function annealToPosterior(exact: Likelihood, stream: RandomStream): Walkers {
  const likelihood: Likelihood = { ...exact, job: { ...exact.job, order: "first" } };
  const target = weightedPosterior(likelihood, initialGaussian(likelihood));
  const points = drawn(target, stream);
  if (target.factors.length > 0)
    anneal(target, { walkers: SAMPLING.walkers, rounds: SAMPLING.rounds, stream, points });
  return { states: statesOf(target, points) };
}

/** What the posterior is known by: draws, and its mean and covariance in the sources' prior standard deviations. */
export interface PosteriorDraws {
  readonly distribution: SourceDistribution;
  /** Whether the posterior is normal, its law known without drawing. */
  readonly normal: boolean;
  /** Sources of each draw, in their prior standard deviations, row-major (draw, source). */
  readonly sample: Float64Array;
  /** How many independent draws they are worth, for the source that mixes worst. */
  readonly effectiveSampleSize: number;
}

/** Goes on from a first walk, in a frame of the shape that it saw. */
export function samplePosterior(
  likelihood: Likelihood,
  { states }: Walkers,
  stream: RandomStream,
): PosteriorDraws {
  const { job, readings } = likelihood;
  if (readings.every((reading) => isNormal(reading, job))) return sampleGaussian(likelihood, stream);
  const p = likelihood.sources.length;
  const seen = new Float64Array(states.length * p);
  for (const [k, { sources }] of states.entries()) seen.set(sources, k * p);
  const shapedBy = states.filter((_, k) => k % Math.ceil(states.length / SAMPLING.shapedBy) === 0);
  const trials = averageTrialDistributions(likelihood, shapedBy);
  const target = weightedPosterior(likelihood, {
    distribution: momentsOf(seen, p, REFERENCE_INFLATION),
    trials,
    exact: false,
  });
  const points = new Float64Array(SAMPLING.walkers * target.length);
  for (const [k, point] of rowsOf(points, target.length).entries()) target.writePoint(states[k]!, point);
  walkOn(target, points, SAMPLING.burnIn, stream);
  const rounds: Float64Array[] = [];
  for (;;) {
    rounds.push(...walkOn(target, points, SAMPLING.batch, stream));
    const sample = joined(rounds);
    const effectiveSampleSize = leastEffectiveSize(sample, p);
    if (effectiveSampleSize >= SAMPLING.leastEffectiveSize || rounds.length >= SAMPLING.mostRounds)
      return {
        sample,
        effectiveSampleSize,
        distribution: momentsOf(sample, p, varianceInflation(effectiveSampleSize)),
        normal: false,
      };
  }
}

/** The mean square of what n independent draws' mean is off by, over what they scatter by: they are few, and their mean is off itself. */
const varianceInflation = (n: number): number => (n + 1) / Math.max(n - 1, 1);

/** Draws of a posterior that is the frame itself. */
function sampleGaussian(likelihood: Likelihood, stream: RandomStream): PosteriorDraws {
  const frame = initialGaussian(likelihood);
  const target = weightedPosterior(likelihood, frame);
  const rounds = Array.from({ length: SAMPLING.mostRounds }, () => sourcesNow(target, drawn(target, stream)));
  return {
    sample: joined(rounds),
    effectiveSampleSize: rounds.length * SAMPLING.walkers,
    distribution: frame.distribution,
    normal: true,
  };
}

function drawn(target: WeightedPosterior, stream: RandomStream): Float64Array {
  const points = new Float64Array(SAMPLING.walkers * target.length);
  for (const point of rowsOf(points, target.length)) target.draw(point, stream);
  return points;
}

const rowsOf = (points: Float64Array, length: number): Float64Array[] =>
  Array.from({ length: points.length / length }, (_, k) => points.subarray(k * length, (k + 1) * length));

const statesOf = (target: WeightedPosterior, points: Float64Array): State[] =>
  rowsOf(points, target.length).map((row) => target.stateOf(row));

/** All walkers' sources, row-major (walker, source). */
function sourcesNow(target: WeightedPosterior, points: Float64Array): Float64Array {
  const now = new Float64Array(SAMPLING.walkers * target.sources);
  for (const [k, row] of rowsOf(points, target.length).entries())
    target.readSources(row, now, k * target.sources);
  return now;
}

/** Walks on; returns all walkers' sources after each round. */
function walkOn(
  target: WeightedPosterior,
  points: Float64Array,
  rounds: number,
  stream: RandomStream,
): Float64Array[] {
  const seen: Float64Array[] = [];
  const onRound = (): void => void seen.push(sourcesNow(target, points));
  walkEllipses(target, { walkers: SAMPLING.walkers, rounds, stream, points, onRound });
  return seen;
}

function joined(rounds: readonly Float64Array[]): Float64Array {
  const [size = 0] = rounds.map(({ length }) => length);
  const all = new Float64Array(rounds.length * size);
  for (const [r, round] of rounds.entries()) all.set(round, r * size);
  return all;
}

function leastEffectiveSize(sample: Float64Array, p: number): number {
  const draws = sample.length / p;
  const sizes = Array.from({ length: p }, (_, i) =>
    effectiveSampleSize(draws, SAMPLING.walkers, (k) => sample[k * p + i]!),
  );
  return Math.min(...sizes);
}

/** So many walkers are asked how high the ground is where they stand. */
const STARTS = 6;

/**
 * The most probable sources and cut-to-cut errors: climbed to from where a walk found the highest ground. A closing joint is a kink that a climb from the errors expected
 * beforehand can be caught in, and a gap read at its widest may be of a sharp or a blunt point; a walk sees past both.
 * Walkers are compared by their sources alone, each with the cut-to-cut errors that suit it best (their own scatter), and at first order, as they walked.
 */
export function mostProbable(likelihood: Likelihood, { states }: Walkers): LikelihoodFit {
  const some = states.filter((_, k) => k % Math.ceil(states.length / STARTS) === 0);
  const first: Likelihood = { ...likelihood, job: { ...likelihood.job, order: "first" } };
  const found = some.map(({ sources, latents }) => {
    const profile = profileOf(
      first,
      latents.map((own) => ({ latents: own })),
    );
    const { terms, modes } = profile(sources);
    return { sources, modes, value: terms.value };
  });
  const { sources, modes } = found.reduce((a, b) => (b.value < a.value ? b : a));
  const from = sources.map((value, i) => value * likelihood.sources[i]!.priorSd);
  return maximiseLikelihood(likelihood, from, modes);
}

/**
 * Laws of every trial's cut-to-cut errors that stand for what its readings say on the whole, over the states of a walk: at each state a reading is a straight line of slope √ρ″·∂μ and
 * a value, and these are averaged, so that one that answers now this way, now that, counts for little. It is taken at first order: a frame need not be exact.
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
  for (const { sources: x, latents } of states) {
    const u = latents[b]!;
    const values = x.map((value, i) => value * sources[i]!.priorSd);
    const { mu, byLatent, bySource } = expectBlock(job, block, values, u);
    for (const [i, reading] of block.readings.entries()) {
      const { slope, curvature } = mixtureLoss(reading, mu[i]!, block.noise[i]!, job.mistakes);
      if (!(curvature > 0)) continue;
      const root = Math.sqrt(curvature);
      let y = -slope / root;
      for (let k = 0; k < n; k++) {
        const by = root * byLatent[i * n + k]!;
        out.a[i * n + k]! += share * by;
        y += by * u[k]!;
      }
      for (let c = 0; c < p; c++) {
        const by = root * bySource[i * p + c]! * sources[c]!.priorSd;
        out.b[i * p + c]! += share * by;
        y += by * x[c]!;
      }
      out.y[i]! += share * y;
    }
  }
  return informativeRows(out, n, p);
}

/** The rows that say anything. */
function informativeRows({ a, b, y }: NormalRows, n: number, p: number): NormalRows {
  const kept = [...y.keys()].filter((i) => a.subarray(i * n, (i + 1) * n).some((by) => by !== 0));
  const of = (from: Float64Array, width: number): Float64Array =>
    Float64Array.from(kept.flatMap((i) => [...from.subarray(i * width, (i + 1) * width)]));
  return { a: of(a, n), b: of(b, p), y: of(y, 1) };
}
