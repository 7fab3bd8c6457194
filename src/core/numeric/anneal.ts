import { EllipseWalk, type WeightedNormal } from "./elliptical-slice.js";
import type { RandomStream } from "./random-stream.js";

interface AnnealOptions {
  readonly walkers: number;
  readonly stream: RandomStream;
  /** In: draws of the normal distribution, row-major. Out: the walkers after the last stage. */
  readonly points: Float64Array;
  /** Rounds of elliptical slice sampling at each power of the weight. */
  readonly rounds: number;
  /** Least effective sample size of the next stage's weights as a share of the walkers; default {@link LEAST_EFFECTIVE_SHARE}. */
  readonly effectiveShare?: number;
}

const LEAST_EFFECTIVE_SHARE = 0.5;
const MOST_STAGES = 200;
const HALVINGS = 40;

/**
 * Sequential Monte Carlo: brings draws of a normal distribution to a weighted one in stages, the weight raised to a power that grows from 0 to 1 (P. Del Moral,
 * A. Doucet and A. Jasra, Sequential Monte Carlo samplers, J. R. Stat. Soc. B 68, 2006). Each stage resamples the walkers (particles) in proportion to the added weight
 * and moves them by elliptical slice sampling. Each mode of the distribution receives its share of the walkers, which a walk from a single start would take long to find.
 *
 * @returns the number of stages.
 */
export function anneal(target: WeightedNormal, options: AnnealOptions): number {
  const { walkers, stream, rounds, effectiveShare = LEAST_EFFECTIVE_SHARE } = options;
  const walk = new EllipseWalk(target, options);
  for (let stage = 1, power = 0; stage <= MOST_STAGES; stage++) {
    const weights = Float64Array.from({ length: walkers }, (_, k) => walk.weightOf(k));
    const more = nextPower(weights, 1 - power, effectiveShare * walkers);
    walk.gather(systematic(shares(weights, more), stream.uniform()));
    power = more === 1 - power ? 1 : power + more;
    walk.power = power;
    for (let round = 0; round < rounds; round++) walk.round();
    if (power === 1) return stage;
  }
  throw new RangeError(`The weight could not be raised to its full power in ${MOST_STAGES} stages.`);
}

/** The largest increase of the power, at most `left`, at which the weights have an effective sample size of `wanted`; found by bisection. */
function nextPower(weights: Float64Array, left: number, wanted: number): number {
  if (effectiveSize(shares(weights, left)) >= wanted) return left;
  let [low, high] = [0, left];
  for (let k = 0; k < HALVINGS; k++) {
    const middle = low > 0 ? Math.sqrt(low * high) : high / 1024;
    if (effectiveSize(shares(weights, middle)) >= wanted) low = middle;
    else high = middle;
  }
  return low > 0 ? low : high;
}

/** Weights raised to a power and normalised to sum 1. */
function shares(logs: Float64Array, power: number): Float64Array {
  const top = logs.reduce((a, b) => Math.max(a, b));
  const out = logs.map((log) => Math.exp(power * (log - top)));
  const sum = out.reduce((a, b) => a + b, 0);
  return out.map((share) => share / sum);
}

const effectiveSize = (of: Float64Array): number => 1 / of.reduce((sum, share) => sum + share * share, 0);

/** Systematic resampling: as many picks as shares, each index picked in proportion to its share; `at` is in [0, 1). */
function systematic(of: Float64Array, at: number): Int32Array {
  const picks = new Int32Array(of.length);
  let [k, sum] = [0, of[0]!];
  for (let i = 0; i < of.length; i++) {
    while ((i + at) / of.length > sum && k < of.length - 1) sum += of[++k]!;
    picks[i] = k;
  }
  return picks;
}

/**
 * Effective sample size of walkers' draws of one number, by batch means with each walker a batch: W·S²/V for W walkers, with V the variance between the walkers' means
 * over R rounds and S² the variance of all draws. At most the number of draws; W where no walker ever moves.
 *
 * @param value of draw k of walker w in round r at place (r·walkers + w).
 */
export function effectiveSampleSize(draws: number, walkers: number, value: (k: number) => number): number {
  const rounds = draws / walkers;
  const means = new Float64Array(walkers);
  let mean = 0;
  for (let k = 0; k < draws; k++) {
    means[k % walkers]! += value(k) / rounds;
    mean += value(k) / draws;
  }
  let all = 0;
  for (let k = 0; k < draws; k++) all += (value(k) - mean) ** 2 / draws;
  const between = means.reduce((sum, m) => sum + (m - mean) ** 2, 0) / (walkers - 1);
  return between === 0 ? draws : Math.min(draws, (walkers * all) / between);
}
