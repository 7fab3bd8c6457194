import { expectedSources } from "../cutting/sources.js";
import type { Reading } from "../readings/reading.js";
import {
  type Likelihood,
  type LikelihoodFit,
  likelihoodOf,
  maximiseLikelihood,
} from "./maximise-likelihood.js";

/** Fits whose losses differ by less than this have found the same maximum. */
const SAME = 1e-3;
/** How many times coarser the instruments are taken for a start that no kink of a closing joint can catch. */
const COARSER = 4;
/** A ramp is reflected to at least this share of its prior standard deviation on the other side. */
const FAR_SIDE = 0.5;

/**
 * The highest of several maxima of a likelihood. A closing joint is a kink that a fit can be caught in, and a gap read at its widest may be of a sharp
 * or a blunt point. So the fit starts from the errors expected beforehand (none, or those of a record), and from what the readings with values alone say;
 * where the two disagree, also from coarser instruments; and every ramp whose angle was never read, and every lean, is tried on its other side.
 */
export function bestLikelihood(problem: Likelihood): LikelihoodFit {
  return problem.job.mistakes > 0 ? mistrustfulBest(problem) : trustingBest(problem);
}

/** How far outside its noise the worst reading must lie to be left out of the start, in standard deviations with the cut-to-cut errors at their mode. */
const FAR_OFF = 4;
/** At most this share of the readings is left out. */
const MOST_LEFT_OUT = 0.3;

/**
 * Where readings may be gross mistakes, the likelihood has many maxima. It is climbed from a fit that trusts all readings but those that lie far off,
 * left out one at a time, the worst first: a mistake pulls good readings of its piece away too.
 */
function mistrustfulBest(problem: Likelihood): LikelihoodFit {
  const job = { ...problem.job, mistakes: 0 };
  const { sources, readings } = problem;
  let kept = readings;
  let likelihood = likelihoodOf(job, sources, kept);
  let fit = trustingBest(likelihood);
  while (kept.length > (1 - MOST_LEFT_OUT) * readings.length) {
    const worst = worstReading(likelihood, fit);
    if (worst.off <= FAR_OFF) break;
    kept = kept.filter((reading) => reading !== worst.reading);
    likelihood = likelihoodOf(job, sources, kept);
    fit = maximiseLikelihood(likelihood, fit.estimates);
  }
  return maximiseLikelihood(problem, fit.estimates);
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

function trustingBest(problem: Likelihood): LikelihoodFit {
  const prior = expectedSources(problem.sources);
  const first = maximiseLikelihood(problem, prior);
  const second = maximiseLikelihood(problem, startFromValues(problem) ?? startFromCoarse(problem));
  let best = lower(first, second);
  if (Math.abs(lossOf(first) - lossOf(second)) > SAME) {
    best = lower(best, maximiseLikelihood(problem, startFromCoarse(problem)));
  }
  for (const ramp of rampsNeverRead(problem)) {
    best = lower(best, maximiseLikelihood(problem, reflected(best.estimates, ramp, problem)));
  }
  return best;
}

const lossOf = ({ minimum }: LikelihoodFit): number => minimum.terms.value;
const lower = (a: LikelihoodFit, b: LikelihoodFit): LikelihoodFit => (lossOf(b) < lossOf(a) ? b : a);

/** The fit to the readings that have values: these are linear in the sources, with one maximum. */
function startFromValues({ job, sources, readings }: Likelihood): Float64Array | null {
  const values = readings.filter(({ value }) => value !== null);
  if (values.length === 0) return null;
  return maximiseLikelihood(likelihoodOf(job, sources, values), expectedSources(sources)).estimates;
}

function startFromCoarse(problem: Likelihood): Float64Array {
  const blocks = problem.blocks.map((block) => ({
    ...block,
    noise: block.noise.map((tau) => COARSER * tau),
  }));
  return maximiseLikelihood({ ...problem, blocks }, expectedSources(problem.sources)).estimates;
}

function rampsNeverRead({ job, sources, readings }: Likelihood): number[] {
  const read = new Set(
    readings
      .filter(({ what }) => what === "angle")
      .flatMap(({ setUp }) => job.setUps.filter(({ name }) => name === setUp).map(({ jig }) => jig)),
  );
  return [...sources.keys()].filter((i) => {
    const { kind, of } = sources[i]!;
    return kind === "lean" || (kind === "ramp" && !read.has(of));
  });
}

function reflected(estimates: Float64Array, ramp: number, { sources }: Likelihood): Float64Array {
  const size = Math.max(Math.abs(estimates[ramp]!), FAR_SIDE * sources[ramp]!.trustedTo);
  return estimates.with(ramp, estimates[ramp]! > 0 ? -size : size);
}
