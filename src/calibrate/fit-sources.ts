import { moveName, type Source } from "../cutting/sources.js";
import type { Job } from "../job/job.js";
import type { Reading } from "../readings/reading.js";
import { bestLikelihood } from "./best-likelihood.js";
import { estimateScatter, type ScatterEstimate } from "./estimate-scatter.js";
import { expectedInformation, invert, observedInformation, symmetricEigen } from "./information.js";
import {
  type Likelihood,
  type LikelihoodFit,
  likelihoodOf,
  maximiseLikelihood,
  profileOf,
} from "./maximise-likelihood.js";
import { profileInterval } from "./profile-interval.js";
import { sourcesOf } from "./specimen.js";

/** One shared source as the trial cuts show it; rad or mm. */
export interface SourceEstimate extends Source {
  readonly estimate: number;
  readonly standardUncertainty: number;
  /** 95 % interval by profile likelihood; its sides may differ. */
  readonly interval: readonly [number, number];
  /** The error as it stands after the known moves of every round, with what they missed by: the estimate itself where there are none. */
  readonly now: { readonly estimate: number; readonly standardUncertainty: number };
  /** Whether the readings contradict what was known before: the estimate lies more than three standard deviations of its expected shift from it. */
  readonly contradicted: boolean;
  /** Share of the prior variance that the data have taken away, 0 to 1. */
  readonly learned: number;
  /** False when the data add nothing worth naming to the prior. */
  readonly fromData: boolean;
  /** The same from the readings alone; `null` where they do not determine it. */
  readonly withoutPrior: { readonly estimate: number; readonly standardUncertainty: number } | null;
}

/** A combination of sources that the readings alone do not tell apart. */
export interface Unseparated {
  /** Weights in units of each source's prior standard deviation; the largest is positive. */
  readonly weights: readonly { readonly source: string; readonly weight: number }[];
  /** Standard deviation of the combination after the data, as a share of before. */
  readonly remaining: number;
}

/** The fit of the shared sources to the readings. */
export interface SourceFit {
  readonly sources: readonly SourceEstimate[];
  /** rad and mm, row-major. */
  readonly covariance: Float64Array;
  readonly estimates: Float64Array;
  readonly unseparated: readonly Unseparated[];
  readonly likelihood: Likelihood;
  readonly best: LikelihoodFit;
  /** The cut-to-cut scatters the fit used, and whether they were estimated or taken from the job. */
  readonly scatter: ScatterEstimate;
  /** `observed` when the curvature of the likelihood itself gave the covariance, `expected` when only its first-order stand-in was positive definite. */
  readonly information: "observed" | "expected";
}

/** Below this share of the prior variance taken away, the prior speaks. */
const LEARNED_LITTLE = 0.2;
/** A combination counts as unseparated when the data leave more than this share of its prior standard deviation. */
const REMAINING_MUCH = 0.7;
const WEIGHT_NAMED = 0.25;

export interface FitOptions {
  /** Whether the cut-to-cut scatters are estimated where the readings allow; default true. */
  readonly estimateScatters?: boolean;
  /** Whether the fit without priors is made too; default true. */
  readonly besideWithoutPriors?: boolean;
}

/** A scatter that changes by less than this share is not worth another fit. */
const SAME_SCATTER = 0.05;
const MOST_SCATTER_ROUNDS = 3;

/** Fits the shared sources of a job to its readings, with the job's prior tolerances and, beside that, without. */
export function fitSources(
  stated: Job,
  readings: readonly Reading[],
  { estimateScatters = true, besideWithoutPriors = true }: FitOptions = {},
): SourceFit {
  const sources = sourcesOf(stated);
  const p = sources.length;
  const unit = sources.map(({ trustedTo }) => trustedTo);
  let job = stated;
  let likelihood = likelihoodOf(job, sources, readings);
  let best = bestLikelihood(likelihood);
  let scatter = scatterNow(likelihood, best, stated);
  for (let round = 0; estimateScatters && round < MOST_SCATTER_ROUNDS; round++) {
    const moved = Object.entries(scatter).some(
      ([of, { used }]) => Math.abs(used / (job.scatter[of as keyof Job["scatter"]] || 1) - 1) > SAME_SCATTER,
    );
    if (!moved) break;
    const { angle, length, thickness } = scatter;
    job = { ...stated, scatter: { angle: angle.used, length: length.used, thickness: thickness.used } };
    likelihood = likelihoodOf(job, sources, readings);
    best = maximiseLikelihood(likelihood, best.estimates, best.modes);
    scatter = scatterNow(likelihood, best, stated);
  }
  const x = best.estimates.map((value, i) => value / unit[i]!);
  const observed = observedInformation(likelihood, x, best.modes);
  const { terms } = profileOf(likelihood, best.modes)(x);
  const scaled = invert(observed ?? expectedInformation(terms, p), p);
  const data = expectedInformation(profileOf({ ...likelihood, priorWeight: 0 }, best.modes)(x).terms, p);
  const covariance = scaled.map((value, k) => value * unit[Math.floor(k / p)]! * unit[k % p]!);
  const alone = besideWithoutPriors ? withoutPriors(likelihood, best, data) : () => null;
  return {
    sources: sources.map((source, i): SourceEstimate => {
      const variance = scaled[i * p + i]!;
      const estimate = best.estimates[i]!;
      const standardUncertainty = unit[i]! * Math.sqrt(variance);
      const learned = Math.min(1, Math.max(0, 1 - variance));
      return {
        ...source,
        ...{ estimate, standardUncertainty, learned },
        interval: profileInterval(likelihood, x, scaled, i, best.modes).map((end) => end * unit[i]!) as [
          number,
          number,
        ],
        now: standing(job, sources, i, best.estimates, covariance),
        contradicted:
          Math.abs(estimate - (source.expected ?? 0)) >
          CONTRADICTING * source.trustedTo * Math.sqrt(Math.max(learned, LEAST_SHIFT)),
        fromData: learned >= LEARNED_LITTLE,
        withoutPrior: alone(i),
      };
    }),
    covariance,
    estimates: best.estimates,
    unseparated: unseparatedOf(sources, data),
    ...{ likelihood, best, scatter },
    information: observed ? "observed" : "expected",
  };
}

/** The scatters as the fit at hand has them, relative to what the job states. */
function scatterNow(likelihood: Likelihood, best: LikelihoodFit, stated: Job): ScatterEstimate {
  const p = likelihood.sources.length;
  const unit = likelihood.sources.map(({ trustedTo }) => trustedTo);
  const { terms } = profileOf(likelihood, best.modes)(best.estimates.map((value, i) => value / unit[i]!));
  const covariance = invert(expectedInformation(terms, p), p);
  return estimateScatter(likelihood, best.modes, covariance, stated);
}

/** The variance of an estimate about its prior mean is what the data took away of the prior's (a share `learned`); three of its square roots contradict. */
const CONTRADICTING = 3;
const LEAST_SHIFT = 1e-6;

/** A ramp or stop after the known moves: its error, the moves, and what they missed by. */
function standing(
  job: Job,
  sources: readonly Source[],
  index: number,
  estimates: Float64Array,
  covariance: Float64Array,
): SourceEstimate["now"] {
  const p = sources.length;
  const made = job.rounds.flatMap(({ name: round, moves }) =>
    moves.filter(({ source }) => source === sources[index]!.name).map((move) => ({ round, move })),
  );
  const parts = [
    index,
    ...made
      .map(({ round, move }) => sources.findIndex(({ name }) => name === moveName(move.source, round)))
      .filter((i) => i >= 0),
  ];
  const variance = parts.reduce((sum, a) => parts.reduce((s, b) => s + covariance[a * p + b]!, sum), 0);
  return {
    estimate:
      parts.reduce((sum, i) => sum + estimates[i]!, 0) + made.reduce((sum, { move }) => sum + move.by, 0),
    standardUncertainty: Math.sqrt(Math.max(0, variance)),
  };
}

/** Combinations that the data leave nearly as wide as the prior had them: eigenvectors of the data's information with small eigenvalues. */
function unseparatedOf(sources: readonly Source[], data: Float64Array): Unseparated[] {
  const { values, vectors } = symmetricEigen(data, sources.length);
  return values.flatMap((value, k): Unseparated[] => {
    const remaining = 1 / Math.sqrt(1 + Math.max(0, value));
    if (remaining < REMAINING_MUCH) return [];
    const vector = vectors[k]!;
    const largest = vector.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a));
    const weights = vector
      .map((weight, i) => ({ source: sources[i]!.name, weight: weight / (Math.sign(largest) || 1) }))
      .filter(({ weight }) => Math.abs(weight) >= WEIGHT_NAMED)
      .sort((a, b) => Math.abs(b.weight) - Math.abs(a.weight));
    return [{ weights, remaining }];
  });
}

/** The fit from the readings alone, for the sources they determine: those with no part in a combination the data say nothing of. */
function withoutPriors(
  likelihood: Likelihood,
  { estimates: start, modes }: LikelihoodFit,
  data: Float64Array,
): (i: number) => SourceEstimate["withoutPrior"] {
  const p = start.length;
  const unit = likelihood.sources.map(({ trustedTo }) => trustedTo);
  const { values, vectors } = symmetricEigen(data, p);
  const free = values.map((value) => value < NOTHING_SAID);
  const determined = (i: number): boolean =>
    free.every((isFree, k) => !isFree || Math.abs(vectors[k]![i]!) < NO_PART);
  if (!start.some((_, i) => determined(i))) return () => null;
  const fit = maximiseLikelihood({ ...likelihood, priorWeight: HARDLY_ANY }, start, modes);
  if (!fit.minimum.converged && fit.minimum.status !== "lost") return () => null;
  return (i) => {
    if (!determined(i)) return null;
    const variance = values.reduce(
      (sum, value, k) => (free[k] ? sum : sum + vectors[k]![i]! ** 2 / value),
      0,
    );
    return { estimate: fit.estimates[i]!, standardUncertainty: unit[i]! * Math.sqrt(variance) };
  };
}

/** The fit without priors keeps this much of them, so that what the readings do not determine stays put. */
const HARDLY_ANY = 1e-3;
/** Information (in prior units) below which the readings say nothing of a combination, and the share of it a source may still have. */
const NOTHING_SAID = 1e-3;
const NO_PART = 0.02;
