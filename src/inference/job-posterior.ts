import { at, entryOf, identity, rowsOf, scaledBothSides } from "../core/numeric/dense.js";
import { createStream } from "../core/numeric/random-stream.js";
import type { Job } from "../model/job/job.js";
import type { Reading } from "../model/readings.js";
import { priorMeans, type Source } from "../model/sources.js";
import { cardDecision } from "./card-decision.js";
import type { Moves } from "./decision/drawn-cells.js";
import { requireBelievable } from "./estimates/believable-fit.js";
import { fitSources, type SourceFit } from "./estimates/fit-sources.js";
import { type Goodness, judgeFit, type ReadingResidual, residualsOf } from "./estimates/judge-fit.js";
import { drawPrior, jointPrior } from "./likelihood/source-prior.js";
import { cellSpecimen, jobSources } from "./likelihood/specimen.js";
import { widenedWhereUnexplained } from "./misfit/judge-readings.js";
import { SCATTERS } from "./posterior/block-density.js";

/** The evidence that a posterior is based on. */
export interface Basis {
  /** Number of readings, and number of the trial pieces (or cells) they were taken on; both are 0 if the posterior is the prior that the job states. */
  readonly readings: number;
  readonly pieces: number;
  /** Names of the records of earlier jobs that its prior uses. */
  readonly records: readonly string[];
}

/** The state of the jigs that a posterior describes: `as they stand`, or `after the moves` that the card advises, re-setting scatter included. */
export type JigState = "as they stand" | "after the moves";

/**
 * Posterior of a job's error sources and scatters: the one distribution that every command uses. Draw d is one shop that is compatible with the evidence, with the sources in row d of `sample`
 * and the scatters in row d of `scatters`. Sources are those of `jobSources`, before any known move of a round: `cellSpecimen(job)` makes the cell of the last round from them.
 */
export interface JobPosterior {
  readonly job: Job;
  readonly basis: Basis;
  readonly state: JigState;
  /** The sources with their priors, in the order of all columns below. */
  readonly sources: readonly Source[];
  /** Draws of the sources, row-major (draw, source); rad and mm. */
  readonly sample: Float64Array;
  /** Number of rows of `sample` and `scatters`. */
  readonly draws: number;
  /** Between-cut standard deviations of each draw: angle, length and thickness, row-major; rad, mm, mm. */
  readonly scatters: Float64Array;
  /** Effective sample size, as a number of independent draws. */
  readonly effectiveSampleSize: number;
  /** Whether the sources are exactly normal with `estimates` and `covariance`, so that any number of fresh draws can be made. */
  readonly normal: boolean;
  /** Mean and covariance (row-major) of the sources; rad and mm. The mean of a two-sided source lies between its sides, so draw from `sample` instead. */
  readonly estimates: Float64Array;
  readonly covariance: Float64Array;
  /** The fit to the readings; `null` where there are none. */
  readonly fit: SourceFit | null;
  /** Every reading compared with what the fit expects of it, in the order of the readings. */
  readonly residuals: readonly ReadingResidual[];
  /** How the readings compare with sets simulated from the fit; `null` where there are none. @internal */
  readonly goodness: Goodness | null;
}

/** The posterior of the sources as plain data that can be sent to a thread. */
export type KnownSources = Omit<JobPosterior, "job" | "fit" | "residuals" | "goodness">;

export function knownSources({
  job: _,
  fit: __,
  residuals: ___,
  goodness: ____,
  ...known
}: JobPosterior): KnownSources {
  return known;
}

/** Seed and progress callback of a posterior. */
export interface JobPosteriorOptions {
  /** Seed, an integer ≥ 0, default 1. */
  readonly seed?: number;
  /** Whether each source is also estimated from the readings alone (`SourceEstimate.withoutPrior`); default false. */
  readonly alsoWithoutPriors?: boolean;
  /** Whether the fit keeps the cut-to-cut errors of the measured pieces in each draw (`SourceFit.states`); default false. */
  readonly keepStates?: boolean;
  readonly onProgress?: StepProgress;
}

/** Progress callback: called at the start of each step of a long computation; `further` reports progress within the step, so often that a caller may show only some of its lines. */
export interface StepProgress {
  (step: string): void;
  readonly further?: (step: string) => void;
}

const FITTING = "fitting the jigs and stops to the readings";

/** Number of draws of a posterior without readings. */
const PRIOR_DRAWS = 1024;
/** Sub-streams of a seed; 0 to 2 are used for the next cells. */
const STREAM = { prior: 3, resetting: 4 } as const;

/**
 * Posterior of a job's sources and scatters from its priors, those of records included, and all its readings. Without readings the draws are those of the prior.
 * If the readings do not fit and no known reason explains the misfit, the posterior is widened by the factor that the misfit requires.
 *
 * @throws UserError (code "command") when the readings are so far from what the job states that no conclusion can be drawn from them.
 * @example
 * jobPosterior(job, [], { seed: 1 }).basis.readings // 0
 */
export function jobPosterior(
  job: Job,
  readings: readonly Reading[],
  options: JobPosteriorOptions = {},
): JobPosterior {
  const { seed = 1, alsoWithoutPriors = false, keepStates = false, onProgress } = options;
  if (readings.length === 0) return statedPosterior(job, seed);
  onProgress?.(FITTING);
  const onSampling = (soFar: string): void => onProgress?.further?.(`${FITTING}: ${soFar}`);
  const narrow = fitSources(job, readings, { seed, alsoWithoutPriors, keepStates, onSampling });
  const residuals = residualsOf(narrow, seed);
  requireBelievable(narrow, residuals);
  const goodness = judgeFit(narrow, seed);
  const fit = widenedWhereUnexplained(narrow, goodness, seed);
  const { sources, estimates, covariance, sample, effectiveSampleSize } = fit;
  const draws = sample.length / sources.length;
  return {
    job,
    sources,
    estimates,
    covariance,
    sample,
    draws,
    effectiveSampleSize,
    fit,
    residuals,
    goodness,
    basis: {
      readings: readings.length,
      pieces: new Set(readings.map(({ trial }) => trial)).size,
      records: job.recorded?.files ?? [],
    },
    state: "as they stand",
    scatters: fit.scatters,
    normal: false,
  };
}

/** Draws from the prior. */
function statedPosterior(job: Job, seed: number): JobPosterior {
  const sources = jobSources(job);
  const p = sources.length;
  const estimates = priorMeans(sources);
  const stream = createStream(seed, STREAM.prior);
  const prior = jointPrior(job, sources);
  const unit = sources.map(({ priorSd }) => priorSd);
  const sample = new Float64Array(PRIOR_DRAWS * p);
  for (const row of rowsOf(sample, p)) {
    const drawn = prior && drawPrior(prior, stream);
    for (const [i, { priorSd }] of sources.entries())
      row[i] = drawn ? priorSd * at(drawn, i) : at(estimates, i) + priorSd * stream.normal();
  }
  return {
    job,
    sources,
    estimates,
    sample,
    draws: PRIOR_DRAWS,
    effectiveSampleSize: PRIOR_DRAWS,
    basis: { readings: 0, pieces: 0, records: job.recorded?.files ?? [] },
    state: "as they stand",
    covariance: scaledBothSides(prior?.covariance ?? identity(p), unit),
    scatters: repeated(
      SCATTERS.map((of) => job.betweenCutSd[of]),
      PRIOR_DRAWS,
    ),
    normal: prior === null || prior.cases.length === 1,
    fit: null,
    residuals: [],
    goodness: null,
  };
}

/** The same row, `rows` times. */
function repeated(row: readonly number[], rows: number): Float64Array {
  const all = new Float64Array(rows * row.length);
  for (let r = 0; r < rows; r++) all.set(row, r * row.length);
  return all;
}

/** The job with its stated scatters replaced by those of the posterior (root mean square over the draws; rad, mm, mm). */
export function withScatters<J extends Job>(job: J, { scatters, draws }: KnownSources): J {
  const typical = (column: number): number => {
    const first = at(scatters, column);
    let [sum, alike] = [0, true];
    for (let d = 0; d < draws; d++) {
      const own = entryOf(scatters, d, column, SCATTERS.length);
      sum += own ** 2;
      alike &&= own === first;
    }
    return alike ? first : Math.sqrt(sum / draws);
  };
  const [angle, length, thickness] = [typical(0), typical(1), typical(2)];
  return { ...job, betweenCutSd: { angle, length, thickness } };
}

/** The posterior after moves: every draw is shifted by the moves and by a draw of the re-setting error. */
function afterMoves(posterior: JobPosterior, moves: Moves, seed: number): JobPosterior {
  const { sources, estimates, covariance, sample } = posterior;
  const p = sources.length;
  const stream = createStream(seed, STREAM.resetting);
  const moved = sample.slice();
  for (const row of rowsOf(moved, p))
    for (const [i, change] of moves.change.entries())
      row[i] = at(row, i) + change + at(moves.resetSd, i) * stream.normal();
  return {
    ...posterior,
    state: "after the moves",
    sample: moved,
    estimates: estimates.map((estimate, i) => estimate + at(moves.change, i)),
    covariance: covariance.map((value, k) =>
      k % (p + 1) === 0 ? value + at(moves.resetSd, k % p) ** 2 : value,
    ),
  };
}

/**
 * The posterior after the moves on the card: those that `calibrateJob` decides with the same seed.
 *
 * @param seed seed of the decision on the moves and of the re-setting errors, an integer ≥ 0; default 1.
 * @throws RangeError for a posterior without readings, which has no card.
 * @example
 * afterCard(jobPosterior(job, readings)).state // "after the moves"
 */
export function afterCard(posterior: JobPosterior, seed = 1): JobPosterior {
  const { job, fit, residuals, goodness } = posterior;
  if (!fit) throw new RangeError("Without readings there is no card whose moves could be made.");
  const specimen = cellSpecimen(withScatters(job, posterior), fit.target.cells);
  const { decision } = cardDecision(job, fit, specimen, { seed, residuals, goodness });
  return afterMoves(posterior, decision.moves, seed);
}
