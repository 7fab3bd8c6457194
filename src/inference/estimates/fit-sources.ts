import { quantileSorted } from "simple-statistics";
import { at, columnOf, diagonalOf, entryOf, rowsOf, scaledBothSides } from "../../core/numeric/dense.js";
import { symmetricEigen } from "../../core/numeric/linear-algebra.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import { createStream } from "../../core/numeric/random-stream.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { sameSource } from "../../model/source-id.js";
import { indexOfSource, missOf, type Source } from "../../model/sources.js";
import type { JobCells } from "../likelihood/read-specimen.js";
import type { SourcePrior } from "../likelihood/source-prior.js";
import { jobSources } from "../likelihood/specimen.js";
import { SCATTERS } from "../posterior/block-density.js";
import {
  expectedInformation,
  fromPriorSds,
  inPriorSds,
  type PosteriorMode,
  posteriorMode,
  profileOf,
  type TargetDensity,
  targetDensity,
} from "../posterior/posterior-mode.js";
import type { State } from "../posterior/posterior-walk.js";
import {
  drawPosterior,
  inUnitsOfScatters,
  mostProbable,
  type PosteriorDraws,
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
import {
  atScatters,
  type BetweenCutSdEstimate,
  informedScatters,
  scattersOf,
  statedScatter,
} from "./scatters.js";

/** Posterior of one shared source given the trial cuts; rad or mm. */
export interface SourceEstimate extends Source {
  /** Posterior mean and standard deviation. */
  readonly estimate: number;
  readonly standardUncertainty: number;
  /** Central 95 % interval of the posterior, with 2.5 % on either side; the estimate need not be in its middle. */
  readonly interval: readonly [number, number];
  /** Current estimate, rad or mm: the error after the known moves of every round and their re-setting errors; the estimate itself if there are no moves. */
  readonly current: { readonly estimate: number; readonly standardUncertainty: number };
  /** Whether the readings contradict the prior: the estimate is more than three standard deviations of its expected shift from the prior mean. */
  readonly contradicted: boolean;
  /** If the readings identify the size but not the sign: the estimates on both sides of zero, otherwise `null`. The mean and standard deviation above are then over both sides. */
  readonly sides: TwoSides | null;
  /** Share of the prior variance that the readings remove, 0 to 1; on the more probable side if the sign is not identified. */
  readonly learned: number;
  /** Whether that share is large enough to report. */
  readonly fromData: boolean;
  /** Estimate and standard deviation from the readings alone, rad or mm; `null` if they do not identify the source or its sign. */
  readonly withoutPrior: { readonly estimate: number; readonly standardUncertainty: number } | null;
}

/** The fit of the shared sources to the readings. */
export interface SourceFit {
  readonly sources: readonly SourceEstimate[];
  /** Posterior covariance; rad and mm, row-major. */
  readonly covariance: Float64Array;
  readonly estimates: Float64Array;
  /** Mean and covariance (rad and mm) of the draws with the most probable combination of signs of the sources whose sign is not identified; the two above if all signs are identified. */
  readonly oneSide: { readonly estimates: Float64Array; readonly covariance: Float64Array };
  /** Draws of the sources from their posterior, rad and mm, row-major (draw, source). */
  readonly sample: Float64Array;
  /** Effective sample size, as a number of independent draws: that of the source that mixes worst. */
  readonly effectiveSampleSize: number;
  /** @internal The cut-to-cut errors of the measured pieces in each draw of the sample; empty unless requested. */
  readonly states: readonly State[];
  readonly unseparated: readonly Unseparated[];
  /** @internal */
  readonly target: TargetDensity;
  /** The joint mode of all sources and cut-to-cut errors, computed on the first call. */
  readonly mode: () => PosteriorMode;
  /** Posterior of the between-cut standard deviations. */
  readonly betweenCutSd: BetweenCutSdEstimate;
  /** Between-cut standard deviations of each draw: angle (rad), length and thickness (mm), row-major (draw, kind). */
  readonly scatters: Float64Array;
}

/** If the readings remove less than this share of the prior variance, an estimate mostly reflects the prior. */
const LEARNED_LITTLE = 0.2;

/** What a fit estimates in addition to the sources, and its seed. */
export interface FitSourcesOptions {
  /** Whether the between-cut standard deviations are unknowns; otherwise they are the job's. Default true. */
  readonly estimateBetweenCutSds?: boolean;
  /** Whether sources are also estimated without priors; default true. */
  readonly alsoWithoutPriors?: boolean;
  /** Seed of the posterior's draws; default {@link FIT_SEED}. */
  readonly seed?: number;
  /** Whether the cut-to-cut errors of each draw are kept; default false. */
  readonly keepStates?: boolean;
  /** Progress callback of the sampling; receives a text. */
  readonly onSampling?: (soFar: string) => void;
  /** The job's compiled cells, for reuse over many fits; compiled anew by default. @internal */
  readonly cells?: JobCells;
}

export const FIT_SEED = 1;

/**
 * Estimates the shared sources of a job from its readings. The posterior of the sources and all cut-to-cut errors, p ∝ prior × likelihood, is sampled (../posterior); an estimate is
 * its mean, the standard uncertainty its standard deviation, the interval its 2.5 % and 97.5 % quantiles. The between-cut standard deviations are unknowns too; the job's
 * statement counts as much as {@link STATED_SCATTER_PIECES} pieces.
 *
 * @example
 * fitSources(job, readings, { alsoWithoutPriors: false }).sources.length // 8
 */
export function fitSources(
  stated: Job,
  readings: readonly Reading[],
  options: FitSourcesOptions = {},
): SourceFit {
  const { estimateBetweenCutSds = true, alsoWithoutPriors = true, seed = FIT_SEED } = options;
  const { keepStates, cells, onSampling } = options;
  const sources = jobSources(stated);
  const p = sources.length;
  const unit = sources.map(({ priorSd }) => priorSd);
  const asStated = targetDensity(stated, sources, readings, cells);
  const sampling = {
    stream: createStream(seed),
    scatters: estimateBetweenCutSds,
    keepStates: keepStates === true,
    ...(onSampling && { onSampling }),
  };
  const draws = drawPosterior(asStated, sampling);
  const { sample } = draws;
  const betweenCutSd = scattersOf(stated, draws.ratios, informedScatters(asStated));
  const target = estimateBetweenCutSds ? atScatters(asStated, betweenCutSd) : asStated;
  const typical = Float64Array.from(SCATTERS, (of) => betweenCutSd[of].used / (betweenCutSd[of].stated || 1));
  const mode = once(() =>
    mostProbable(
      target,
      draws.last.map((state) => inUnitsOfScatters(state, target, typical)),
    ),
  );
  const informed = alsoThroughPrior(informedSources(target), target.prior);
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
  const alone = alsoWithoutPriors ? withoutPriors(target, mode()) : () => null;
  return {
    sources: sources.map((source, i): SourceEstimate => {
      const variance = at(variances, i);
      const estimate = at(estimates, i);
      const both = sides[i] ?? null;
      const learned = learnedOf(both ? likelierSide(both).standardUncertainty ** 2 : variance);
      return {
        ...source,
        estimate,
        learned,
        sides: both && inUnitsOf(both, source.priorSd),
        standardUncertainty: source.priorSd * Math.sqrt(variance),
        interval: middleOf({ ...draws, distribution }, i, {
          unit: source.priorSd,
          informed: informed[i] === true,
        }),
        current: currentEstimate(target.job, sources, i, estimates, covariance),
        contradicted: isContradicted(both, at(distribution.mean, i), variance, at(before, i)),
        fromData: learned >= LEARNED_LITTLE,
        withoutPrior: both ? null : alone(i),
      };
    }),
    covariance,
    estimates,
    target: target,
    mode,
    betweenCutSd,
    oneSide: inUnits(within),
    sample: sample.map((value, k) => value * at(unit, k % p)),
    scatters: draws.ratios.map((ratio, k) => ratio * statedScatter(stated, k % SCATTERS.length)),
    effectiveSampleSize: draws.effectiveSampleSize,
    states: draws.states.map((state) => inUnitsOfScatters(state, target, typical)),
    unseparated: unseparatedOf(sources, within.covariance),
  };
}

/** The central 95 % interval of source i. */
function middleOf(
  { sample, distribution, quantile, effectiveSampleSize }: PosteriorDraws,
  i: number,
  { unit, informed }: { readonly unit: number; readonly informed: boolean },
): [number, number] {
  const p = distribution.mean.length;
  if (quantile) return [unit * quantile(i, TAIL), unit * quantile(i, 1 - TAIL)];
  if (!informed) {
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
 * The tail share (0 to 1) of `draws` draws with effective sample size n beyond which a further draw falls with probability {@link TAIL}: rank (n + 1)·TAIL of n independent draws,
 * since the probability below the k-th of n is k/(n + 1) on average.
 */
function tailOf(draws: number, n: number): number {
  const rank = (draws / n) * ((n + 1) * TAIL - 0.5) + 0.5;
  return Math.max(0, (rank - 1) / (draws - 1));
}

/** Memoises a value that is computed on the first call. */
function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | null = null;
  return () => {
    made ??= { value: make() };
    return made.value;
  };
}

const learnedOf = (variance: number): number => Math.min(1, Math.max(0, 1 - variance));

/** Whether a source is too far from its prior mean, on each side of zero that is possible; all in prior standard deviations. */
function isContradicted(both: TwoSides | null, mean: number, variance: number, expected: number): boolean {
  const places = both
    ? [both.above, both.below].map(({ estimate, standardUncertainty: u }) => [estimate, u ** 2] as const)
    : [[mean, variance] as const];
  return places.every(([estimate, own]) => {
    // A posterior wider than the prior is not normal; the prior standard deviation is then used as the scale.
    const shifts = own > 1 ? 1 : Math.sqrt(Math.max(learnedOf(own), LEAST_SHIFT));
    return Math.abs(estimate - expected) > CONTRADICTING * shifts;
  });
}

/** Number of standard deviations that count as a contradiction; before the data, an estimate has variance `learned` about the prior mean, in units of the prior variance. */
const CONTRADICTING = 3;
const LEAST_SHIFT = 1e-6;

/** Current estimate of a ramp or stop, rad or mm: its error plus the known moves and their re-setting errors. */
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

/** Estimates from the readings alone, for the sources that do not take part in an unidentified combination. */
function withoutPriors(
  target: TargetDensity,
  { estimates: start, modes }: PosteriorMode,
): (i: number) => SourceEstimate["withoutPrior"] {
  const p = start.length;
  const at0 = profileOf({ ...target, priorWeight: 0 }, modes)(inPriorSds(start, target.sources));
  const data = expectedInformation(at0.terms, p);
  const { values, vectors } = symmetricEigen(data, p);
  const isFree = (k: number): boolean => at(values, k) < NOTHING_SAID;
  const determined = (i: number): boolean =>
    vectors.every((vector, k) => !isFree(k) || Math.abs(at(vector, i)) < NO_PART);
  if (!start.some((_, i) => determined(i))) return () => null;
  const fit = posteriorMode({ ...target, priorWeight: HARDLY_ANY }, start, modes);
  if (!fit.minimum.converged && fit.minimum.status !== "lost") return () => null;
  return (i) => {
    if (!determined(i)) return null;
    const variance = values.reduce(
      (sum, value, k) => (isFree(k) ? sum : sum + at(at(vectors, k), i) ** 2 / value),
      0,
    );
    const { priorSd } = at(target.sources, i);
    return { estimate: at(fit.estimates, i), standardUncertainty: priorSd * Math.sqrt(variance) };
  };
}

/** Weight of the priors in the fit without priors: it keeps unidentified combinations at their prior mean. */
const HARDLY_ANY = 1e-3;
/** Information (in prior units) below which a combination is unidentified, and the largest weight that a source may have in it and still count as identified. */
const NOTHING_SAID = 1e-3;
const NO_PART = 0.02;

/**
 * The draws (row-major, draw by source) that share the most frequent combination of signs of the given sources.
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
export function informedSources({ blocks, sources, job }: TargetDensity): boolean[] {
  const p = sources.length;
  const informed = sources.map(() => false);
  for (const { parts, biases } of blocks) {
    for (const { specimen, readings } of parts) {
      for (const reading of readings) {
        const { column = -1 } = biases.get(reading.instrument) ?? {};
        if (column >= 0) informed[column] = true;
        const slopes = reading.what === "gap" ? null : specimen.reader.linear(reading, job).slopes;
        for (let e = 0; e < specimen.known.length; e++) {
          if (slopes?.[e] === 0) continue;
          for (let c = 0; c < p; c++) if (specimen.matrix[e * p + c] !== 0) informed[c] = true;
        }
      }
    }
  }
  return informed;
}

/** A source that a record correlates with an informed one is informed too. */
function alsoThroughPrior(informed: readonly boolean[], prior: SourcePrior | null): boolean[] {
  if (prior === null) return [...informed];
  const p = informed.length;
  return informed.map(
    (own, i) => own || informed.some((other, j) => other && entryOf(prior.covariance, i, j, p) !== 0),
  );
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
