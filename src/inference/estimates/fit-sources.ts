import { quantileSorted } from "simple-statistics";
import { at, columnOf, diagonalOf, entryOf, rowsOf, scaledBothSides } from "../../core/numeric/dense.js";
import { symmetricEigen, symmetricInverse } from "../../core/numeric/linear-algebra.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import { createStream } from "../../core/numeric/random-stream.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { sameSource } from "../../model/source-id.js";
import { indexOfSource, missOf, type Source } from "../../model/sources.js";
import { type BetweenCutSdEstimate, estimateBetweenCutSds } from "../likelihood/between-cut-sd.js";
import {
  expectedInformation,
  fromPriorSds,
  inPriorSds,
  type Likelihood,
  type LikelihoodFit,
  likelihoodOf,
  maximiseLikelihood,
  profileOf,
} from "../likelihood/maximise-likelihood.js";
import { jobSources } from "../likelihood/specimen.js";
import {
  annealToPosterior,
  mostProbable,
  type PosteriorDraws,
  samplePosterior,
} from "../posterior/sample-posterior.js";
import { momentsOf, type SourceDistribution } from "../posterior/trial-distribution.js";
import {
  inUnitsOf,
  likelierSide,
  type TwoSides,
  twoSides,
  type Unseparated,
  unseparatedOf,
} from "./identifiability.js";

/** One shared source given the trial cuts; rad or mm. */
export interface SourceEstimate extends Source {
  /** Posterior mean and standard deviation. */
  readonly estimate: number;
  readonly standardUncertainty: number;
  /** The 95 % interval that leaves 2.5 % of the posterior on either side; the estimate need not be in its middle. */
  readonly interval: readonly [number, number];
  /** The value at the joint mode of all sources and cut-to-cut errors, rad or mm; where the posterior is skewed it differs from the mean. */
  readonly likeliest: number;
  /** Current estimate, rad or mm: the error after the known moves of every round and what those missed by; the estimate itself where there are none. */
  readonly current: { readonly estimate: number; readonly standardUncertainty: number };
  /** Whether the readings contradict the prior: the estimate is more than three standard deviations of its expected shift from the prior mean. */
  readonly contradicted: boolean;
  /** Where the readings identify the size but not the sign: the estimate on either side of zero. The mean and standard deviation above are then over both sides. */
  readonly sides: TwoSides | null;
  /** Share of the prior variance that the readings remove, 0 to 1; on the likelier side where the sign is not identified. */
  readonly learned: number;
  /** Whether that share is large enough to report. */
  readonly fromData: boolean;
  /** Estimate and standard deviation from the readings alone, rad or mm; `null` where they do not identify the source or its sign. */
  readonly withoutPrior: { readonly estimate: number; readonly standardUncertainty: number } | null;
}

/** The fit of the shared sources to the readings. */
export interface SourceFit {
  readonly sources: readonly SourceEstimate[];
  /** Of the posterior; rad and mm, row-major. */
  readonly covariance: Float64Array;
  readonly estimates: Float64Array;
  /** Mean and covariance (rad and mm) of the draws that have the likeliest signs of all sources whose sign is not identified; where all signs are, the two above. */
  readonly oneSide: { readonly estimates: Float64Array; readonly covariance: Float64Array };
  /** Draws of the sources from their posterior, rad and mm, row-major (draw, source). */
  readonly sample: Float64Array;
  /** Number of independent draws that the sample is worth, for the source that mixes worst. */
  readonly effectiveSampleSize: number;
  readonly unseparated: readonly Unseparated[];
  /** @internal */
  readonly likelihood: Likelihood;
  /** The most probable sources and cut-to-cut errors. */
  readonly best: LikelihoodFit;
  /** The between-cut standard deviations used, and whether they were estimated or are the job's. */
  readonly betweenCutSd: BetweenCutSdEstimate;
}

/** Below this share of the prior variance removed, an estimate is mostly prior. */
const LEARNED_LITTLE = 0.2;

/** What a fit estimates beside the sources, and its seed. */
export interface FitSourcesOptions {
  /** Whether the between-cut standard deviations are estimated where the readings allow; default true. */
  readonly estimateBetweenCutSds?: boolean;
  /** Whether sources are also estimated without priors; default true. */
  readonly alsoWithoutPriors?: boolean;
  /** Seed of the posterior's draws; default {@link FIT_SEED}. */
  readonly seed?: number;
}

export const FIT_SEED = 1;

/** Iteration ends when no between-cut standard deviation changes by more than this share. */
const UNCHANGED_SD = 0.05;
const MOST_SD_ROUNDS = 3;

/**
 * Estimates the shared sources of a job from its readings. The posterior of the sources and all cut-to-cut errors, p ∝ prior × likelihood, is sampled (../posterior); an estimate is
 * its mean, the standard uncertainty its standard deviation, the interval its 2.5 % and 97.5 % quantiles. The between-cut standard deviations are estimated first, at the mode
 * (empirical Bayes), by restricted maximum likelihood.
 *
 * @example
 * fitSources(job, readings, { alsoWithoutPriors: false }).sources.length // 8
 */
export function fitSources(
  stated: Job,
  readings: readonly Reading[],
  { estimateBetweenCutSds = true, alsoWithoutPriors = true, seed = FIT_SEED }: FitSourcesOptions = {},
): SourceFit {
  const sources = jobSources(stated);
  const p = sources.length;
  const unit = sources.map(({ priorSd }) => priorSd);
  const stream = createStream(seed);
  const asStated = likelihoodOf(stated, sources, readings);
  const seen = annealToPosterior(asStated, stream);
  const climbed = mostProbable(asStated, seen);
  const converged = estimateBetweenCutSds
    ? convergeBetweenCutSds(asStated, climbed)
    : { likelihood: asStated, best: climbed, betweenCutSd: betweenCutSdsAt(asStated, climbed, stated) };
  const { likelihood, best, betweenCutSd } = converged;
  const draws = samplePosterior(likelihood, seen, stream);
  const { sample } = draws;
  const informed = informedSources(likelihood);
  const before = Float64Array.from(sources, ({ priorMean = 0, priorSd }) => priorMean / priorSd);
  const distribution = withUninformedAtPrior(draws.distribution, informed, before);
  const inUnits = ({ mean, covariance }: SourceDistribution) => ({
    estimates: fromPriorSds(mean, sources),
    covariance: scaledBothSides(covariance, unit),
  });
  const { covariance, estimates } = inUnits(distribution);
  const variances = diagonalOf(distribution.covariance);
  const sides = sources.map((_, i) => (informed[i] ? twoSides(sample, p, i) : null));
  const sided = [...sides.keys()].filter((i) => sides[i] !== null);
  const within =
    sided.length === 0
      ? distribution
      : withUninformedAtPrior(momentsOf(oneSide(sample, p, sided), p), informed, before);
  const data = (): Float64Array =>
    expectedInformation(
      profileOf({ ...likelihood, priorWeight: 0 }, best.modes)(inPriorSds(best.estimates, sources)).terms,
      p,
    );
  const alone = alsoWithoutPriors ? withoutPriors(likelihood, best, data()) : () => null;
  return {
    sources: sources.map((source, i): SourceEstimate => {
      const variance = at(variances, i);
      const estimate = at(estimates, i);
      const both = sides[i] ?? null;
      const learned = learnedOf(both ? likelierSide(both).standardUncertainty ** 2 : variance);
      return {
        ...source,
        ...{ estimate, learned, sides: both && inUnitsOf(both, source.priorSd) },
        standardUncertainty: source.priorSd * Math.sqrt(variance),
        interval: middleOf(
          { ...draws, distribution, normal: draws.normal || !informed[i] },
          i,
          source.priorSd,
        ),
        likeliest: at(best.estimates, i),
        current: currentEstimate(likelihood.job, sources, i, estimates, covariance),
        contradicted: isContradicted(both, at(distribution.mean, i), variance, at(before, i)),
        fromData: learned >= LEARNED_LITTLE,
        withoutPrior: both ? null : alone(i),
      };
    }),
    ...{ covariance, estimates, likelihood, best, betweenCutSd, oneSide: inUnits(within) },
    sample: sample.map((value, k) => value * at(unit, k % p)),
    effectiveSampleSize: draws.effectiveSampleSize,
    unseparated: unseparatedOf(sources, within.covariance),
  };
}

/** The central 95 % interval of source i. */
function middleOf(
  { sample, distribution, normal, effectiveSampleSize }: PosteriorDraws,
  i: number,
  unit: number,
): [number, number] {
  const p = distribution.mean.length;
  if (normal) {
    const reach = normalQuantile(1 - TAIL) * Math.sqrt(entryOf(distribution.covariance, i, i, p));
    const middle = at(distribution.mean, i);
    return [unit * (middle - reach), unit * (middle + reach)];
  }
  const values = Array.from(columnOf(sample, i, p).sort());
  const tail = tailOf(values.length, effectiveSampleSize);
  return [unit * quantileSorted(values, tail), unit * quantileSorted(values, 1 - tail)];
}

const TAIL = 0.025;

/**
 * The quantile (0 to 1) of `draws` draws with effective sample size n beyond which another draw falls with probability {@link TAIL}: rank (n + 1)·TAIL of n independent draws,
 * since the probability below the k-th of n is k/(n + 1) on average.
 */
function tailOf(draws: number, n: number): number {
  const rank = (draws / n) * ((n + 1) * TAIL - 0.5) + 0.5;
  return Math.max(0, (rank - 1) / (draws - 1));
}

/** Estimates the scatters and climbs again under them, until they stay. */
function convergeBetweenCutSds(
  asStated: Likelihood,
  climbed: LikelihoodFit,
): { likelihood: Likelihood; best: LikelihoodFit; betweenCutSd: BetweenCutSdEstimate } {
  const { sources, readings, job: stated } = asStated;
  let [likelihood, best] = [asStated, climbed];
  let betweenCutSd = betweenCutSdsAt(likelihood, best, stated);
  for (let round = 0; round < MOST_SD_ROUNDS; round++) {
    const { betweenCutSd: used } = likelihood.job;
    const moved = Object.entries(betweenCutSd).some(
      ([of, { used: current }]) =>
        Math.abs(current / (used[of as keyof Job["betweenCutSd"]] || 1) - 1) > UNCHANGED_SD,
    );
    if (!moved) break;
    const { angle, length, thickness } = betweenCutSd;
    const job = {
      ...stated,
      betweenCutSd: { angle: angle.used, length: length.used, thickness: thickness.used },
    };
    likelihood = likelihoodOf(job, sources, readings, asStated.cells);
    best = maximiseLikelihood(likelihood, best.estimates, best.modes);
    betweenCutSd = betweenCutSdsAt(likelihood, best, stated);
  }
  return { likelihood, best, betweenCutSd };
}

/** The between-cut standard deviations at the mode of a likelihood. */
function betweenCutSdsAt(likelihood: Likelihood, best: LikelihoodFit, stated: Job): BetweenCutSdEstimate {
  const p = likelihood.sources.length;
  const { terms } = profileOf(likelihood, best.modes)(inPriorSds(best.estimates, likelihood.sources));
  const covariance = symmetricInverse(expectedInformation(terms, p), p);
  return estimateBetweenCutSds(likelihood, best.modes, covariance, stated);
}

const learnedOf = (variance: number): number => Math.min(1, Math.max(0, 1 - variance));

/** Whether a source is too far from its prior mean, on every side it may be on; all in prior standard deviations. */
function isContradicted(both: TwoSides | null, mean: number, variance: number, expected: number): boolean {
  const places = both
    ? [both.above, both.below].map(({ estimate, standardUncertainty: u }) => [estimate, u ** 2] as const)
    : [[mean, variance] as const];
  return places.every(([estimate, own]) => {
    // A posterior wider than the prior is not normal; the prior's own width is then the scale.
    const shifts = own > 1 ? 1 : Math.sqrt(Math.max(learnedOf(own), LEAST_SHIFT));
    return Math.abs(estimate - expected) > CONTRADICTING * shifts;
  });
}

/** Number of standard deviations that contradict; before the data, an estimate has variance `learned` about the prior mean, in units of the prior variance. */
const CONTRADICTING = 3;
const LEAST_SHIFT = 1e-6;

/** Current estimate of a ramp or stop: its error, the known moves, and what those missed by. */
export function currentEstimate(
  job: Job,
  sources: readonly Source[],
  index: number,
  estimates: Float64Array,
  covariance: Float64Array,
): SourceEstimate["current"] {
  const p = sources.length;
  const { id } = at(sources, index);
  const made = job.rounds.flatMap(({ name: round, moves }) =>
    moves.filter(({ source }) => sameSource(source, id)).map((move) => ({ round, move })),
  );
  const parts = [
    index,
    ...made.map(({ round, move }) => indexOfSource(sources, missOf(move, round))).filter((i) => i >= 0),
  ];
  const variance = parts.reduce((sum, a) => parts.reduce((s, b) => s + entryOf(covariance, a, b, p), sum), 0);
  return {
    estimate:
      parts.reduce((sum, i) => sum + at(estimates, i), 0) + made.reduce((sum, { move }) => sum + move.by, 0),
    standardUncertainty: Math.sqrt(Math.max(0, variance)),
  };
}

/** Estimates from the readings alone, for the sources that have no part in an unidentified combination. */
export function withoutPriors(
  likelihood: Likelihood,
  best: LikelihoodFit,
  data: Float64Array,
): (i: number) => SourceEstimate["withoutPrior"] {
  const { estimates: start, modes } = best;
  const p = start.length;
  const { values, vectors } = symmetricEigen(data, p);
  const isFree = (k: number): boolean => at(values, k) < NOTHING_SAID;
  const determined = (i: number): boolean =>
    vectors.every((vector, k) => !isFree(k) || Math.abs(at(vector, i)) < NO_PART);
  if (!start.some((_, i) => determined(i))) return () => null;
  const fit = maximiseLikelihood({ ...likelihood, priorWeight: HARDLY_ANY }, start, modes);
  if (!fit.minimum.converged && fit.minimum.status !== "lost") return () => null;
  return (i) => {
    if (!determined(i)) return null;
    const variance = values.reduce(
      (sum, value, k) => (isFree(k) ? sum : sum + at(at(vectors, k), i) ** 2 / value),
      0,
    );
    const { priorSd } = at(likelihood.sources, i);
    return { estimate: at(fit.estimates, i), standardUncertainty: priorSd * Math.sqrt(variance) };
  };
}

/** Weight of the priors in the fit without priors: it keeps unidentified combinations at their prior mean. */
const HARDLY_ANY = 1e-3;
/** Information (in prior units) below which a combination is unidentified, and the largest weight in it of a source that counts as identified. */
const NOTHING_SAID = 1e-3;
const NO_PART = 0.02;

/**
 * The draws (row-major, draw by source) that share the most frequent combination of signs of the sources named.
 * The mean over both sides of such a source has low density; the mean of these draws does not.
 */
export function oneSide(sample: Float64Array, p: number, sided: readonly number[]): Float64Array {
  if (sided.length === 0) return sample;
  const bySigns = new Map<string, Float64Array[]>();
  for (const row of rowsOf(sample, p)) {
    const signs = sided.map((i) => (at(row, i) >= 0 ? "+" : "-")).join("");
    const alike = bySigns.get(signs);
    if (alike) alike.push(row);
    else bySigns.set(signs, [row]);
  }
  const [most = []] = [...bySigns.values()].sort((a, b) => b.length - a.length);
  return Float64Array.from(most.flatMap((row) => [...row]));
}

/** Whether any reading depends on each source. A gap counts as depending on every error of its cell, since its slopes change with the closing of joints. */
export function informedSources({ blocks, sources, job }: Likelihood): boolean[] {
  const p = sources.length;
  const informed = sources.map(() => false);
  for (const { parts, biases } of blocks) {
    for (const { specimen, readings } of parts) {
      for (const reading of readings) {
        const { column = -1 } = biases.get(reading.instrument) ?? {};
        if (column >= 0) informed[column] = true;
        const slopes = reading.what === "gap" ? null : specimen.reader.linear(reading, job).slopes;
        for (const [k, share] of specimen.matrix.entries()) {
          if (share !== 0 && (slopes === null || slopes[Math.floor(k / p)] !== 0)) informed[k % p] = true;
        }
      }
    }
  }
  return informed;
}

/** A distribution of the sources in which those that no reading informs keep their prior exactly; their draws would only add sampling error. */
export function withUninformedAtPrior(
  distribution: SourceDistribution,
  informed: readonly boolean[],
  expected: Float64Array,
): SourceDistribution {
  const p = expected.length;
  return {
    mean: distribution.mean.map((value, i) => (informed[i] ? value : at(expected, i))),
    covariance: distribution.covariance.map((value, k) => {
      const [i, j] = [Math.floor(k / p), k % p];
      return informed[i] && informed[j] ? value : i === j ? 1 : 0;
    }),
  };
}
