import { expectedSources } from "../../cutting/sources.js";
import type { Reading } from "../../readings/reading.js";
import { blockLoss } from "../block-mode.js";
import {
  type Likelihood,
  type LikelihoodFit,
  likelihoodOf,
  maximiseLikelihood,
} from "../maximise-likelihood.js";
import type { State } from "./frame-law.js";
import type { Walk } from "./walk-posterior.js";

/**
 * The most probable sources and cut-to-cut errors: climbed to from where the walk stood highest, and from where it began. A closing joint is a kink that a climb
 * can be caught in, and a gap read at its widest may be of a sharp or a blunt point; a walk sees past both.
 */
export function climbFromWalk(likelihood: Likelihood, { states }: Walk, start: Float64Array): LikelihoodFit {
  const highest = states.reduce((a, b) => (lossOf(likelihood, b) < lossOf(likelihood, a) ? b : a));
  const { sources } = likelihood;
  const from = highest.sources.map((value, i) => value * sources[i]!.trustedTo);
  const near = highest.latents.map((latents) => ({ latents }));
  const [a, b] = [maximiseLikelihood(likelihood, from, near), maximiseLikelihood(likelihood, start)];
  return a.minimum.terms.value < b.minimum.terms.value ? a : b;
}

/** −log posterior density of a state, up to a constant. */
function lossOf({ job, blocks, sources }: Likelihood, state: State): number {
  const values = state.sources.map((value, i) => value * sources[i]!.trustedTo);
  const prior = sources.reduce((sum, { expected = 0, trustedTo }, i) => {
    return sum + (state.sources[i]! - expected / trustedTo) ** 2 / 2;
  }, 0);
  return blocks.reduce((sum, block, b) => sum + blockLoss(job, block, values, state.latents[b]!), prior);
}

/** Where a fit begins: the errors expected beforehand (none, or those of a record). */
export function startOfFit(problem: Likelihood): Float64Array {
  return problem.job.mistakes > 0 ? leavingOutMistakes(problem) : expectedSources(problem.sources);
}

/** How far outside its noise the worst reading must lie to be left out of the start, in standard deviations with the cut-to-cut errors at their mode. */
const FAR_OFF = 4;
/** At most this share of the readings is left out. */
const MOST_LEFT_OUT = 0.3;

/**
 * Where readings may be gross mistakes, the likelihood has many maxima. It is climbed from a fit that trusts all readings but those that lie far off,
 * left out one at a time, the worst first: a mistake pulls good readings of its piece away too.
 */
function leavingOutMistakes(problem: Likelihood): Float64Array {
  const job = { ...problem.job, mistakes: 0 };
  const { sources, readings } = problem;
  let kept = readings;
  let likelihood = likelihoodOf(job, sources, kept);
  let fit = maximiseLikelihood(likelihood, expectedSources(sources));
  while (kept.length > (1 - MOST_LEFT_OUT) * readings.length) {
    const worst = worstReading(likelihood, fit);
    if (worst.off <= FAR_OFF) break;
    kept = kept.filter((reading) => reading !== worst.reading);
    likelihood = likelihoodOf(job, sources, kept);
    fit = maximiseLikelihood(likelihood, fit.estimates);
  }
  return fit.estimates;
}

/** The reading that lies farthest from the fit, in standard deviations of its noise. */
function worstReading(
  { blocks }: Likelihood,
  { modes }: LikelihoodFit,
): { reading: Reading | null; off: number } {
  let worst: { reading: Reading | null; off: number } = { reading: null, off: 0 };
  for (const [b, { readings, noise }] of blocks.entries()) {
    for (const [i, reading] of readings.entries()) {
      const mu = modes[b]!.expectation.mu[i]!;
      const { value, low, high } = reading;
      const off = (value === null ? Math.max(low! - mu, mu - high!) : Math.abs(value - mu)) / noise[i]!;
      if (off > worst.off) worst = { reading, off };
    }
  }
  return worst;
}
