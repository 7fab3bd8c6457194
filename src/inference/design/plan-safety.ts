import { at } from "../../core/numeric/dense.js";
import { createStream } from "../../core/numeric/random-stream.js";
import type { Job } from "../../model/job/job.js";
import type { Source } from "../../model/sources.js";
import { type Adjuster, adjustersOf } from "../decision/adjusters.js";
import { cellLosses, drawCells, meanOf, noMoves, normalDraws } from "../decision/drawn-cells.js";
import type { Specimen } from "../likelihood/specimen.js";
import { chooseTrials, type TrialChoice, withTrial } from "./choose-trials.js";
import { expectedCovariance } from "./criterion.js";
import type { TrialOption } from "./trial-options.js";

/** Safety of a verdict: the probability, 0 to 1, that no remaining error is beyond its leeway. */
export interface Safety {
  readonly sure: number;
  readonly now: number;
  readonly afterPlan: number;
  /** Number of pieces, and of trials, needed to reach the wanted safety: those of this plan and, beyond it, the best further ones; 0 if it is reached already, `null` if {@link MOST_TRIALS} trials do not reach it. */
  readonly piecesNeeded: number | null;
  readonly trialsNeeded: number | null;
  readonly leeways: readonly Leeway[];
}

/** Maximum number of further trials considered. */
export const MOST_TRIALS = 40;

interface SafetyProblem {
  readonly choice: TrialChoice;
  readonly kinds: readonly TrialOption[];
  readonly sources: readonly Source[];
  readonly leeways: readonly Leeway[];
  readonly sure: number;
  readonly seed: number;
}

/** Safety of the verdict now and after a plan (given by its kinds of trial), and the number of pieces needed to reach the wanted safety. */
export function planSafety(
  { choice, kinds, sources, leeways, sure, seed }: SafetyProblem,
  plan: readonly number[],
): Safety {
  const sureness = (sums: readonly Float64Array[]): number =>
    chanceSafe(leeways, expectedCovariance(sources, sums), seed);
  let sums = choice.base;
  const now = sureness(sums);
  let afterPlan = now;
  let pieces = 0;
  let needed: { pieces: number; trials: number } | null = now >= sure ? { pieces: 0, trials: 0 } : null;
  for (let trial = 1; trial <= MOST_TRIALS; trial++) {
    const kind = plan[trial - 1] ?? bestOf(choice, sums);
    if (kind === null) break;
    sums = withTrial(sums, at(choice.information, kind));
    pieces += at(kinds, kind).pieces;
    const sureNow = sureness(sums);
    if (trial === plan.length) afterPlan = sureNow;
    if (needed === null && sureNow >= sure) needed = { pieces, trials: trial };
    if (needed !== null && trial >= plan.length) break;
  }
  return {
    sure,
    now,
    afterPlan,
    leeways,
    piecesNeeded: needed?.pieces ?? null,
    trialsNeeded: needed?.trials ?? null,
  };
}

/** The kind with the largest decrease of the criterion per cost. */
function bestOf(choice: TrialChoice, sums: readonly Float64Array[]): number | null {
  const { kinds } = chooseTrials({ ...choice, base: sums }, { trials: 1 });
  return kinds[0] ?? null;
}

/** How far the remaining error may deviate from its estimate before another setting would be worth its cost; rad or mm. */
export interface Leeway {
  readonly adjuster: Adjuster;
  /** Ends of the leeway, rad or mm, ≤ 0 and ≥ 0; infinite if no available setting would help. */
  readonly low: number;
  readonly high: number;
}

const CELLS = 80;
/** Number of evaluations of the loss, and their range on either side in prior standard deviations. */
const EVALUATIONS = 43;
const REACH = 3;

/**
 * The leeway of each adjuster around the error with the least loss: the error that may remain before the best other setting lowers the expected loss over the batch by more than adjusting costs. Other
 * sources are assumed to have no error, and cuts and grid to scatter as the job states; the leeways therefore tend to be too narrow rather than too wide.
 */
export function leewaysOf(job: Job, specimen: Specimen, sources: readonly Source[], seed: number): Leeway[] {
  const p = sources.length;
  const known = { estimates: new Float64Array(p), covariance: new Float64Array(p * p) };
  const forecast = drawCells(job, specimen, { ...known, draws: CELLS, seed });
  return adjustersOf(job, sources).map((adjuster): Leeway => {
    const { source, settings } = adjuster;
    const farthest = REACH * at(sources, source).priorSd;
    const losses = Array.from({ length: EVALUATIONS }, (_, k) => {
      const moves = noMoves(p);
      moves.change[source] = farthest * ((2 * k) / (EVALUATIONS - 1) - 1);
      return meanOf(cellLosses(forecast, moves));
    });
    const lossAt = (error: number): number =>
      between(losses, (error / farthest + 1) * ((EVALUATIONS - 1) / 2));
    const best = leastLoss(lossAt, farthest);
    const another = (error: number): boolean =>
      settings.some(
        ({ change }) =>
          change !== 0 && lossAt(best + error) - lossAt(best + error + change) > job.costs.adjusting,
      );
    const first = (sign: -1 | 1): number => {
      for (let step = 1; step <= STEPS; step++) {
        const error = (sign * farthest * step) / STEPS;
        if (another(error)) return error;
      }
      return sign * Number.POSITIVE_INFINITY;
    };
    return { adjuster, low: first(-1), high: first(1) };
  });
}

/** The error with the least loss, rad or mm: it need not be zero, because pieces that are slightly long are held firmly. */
function leastLoss(lossAt: (error: number) => number, farthest: number): number {
  let best = 0;
  for (let step = -STEPS; step <= STEPS; step++) {
    const error = (farthest * step) / STEPS;
    if (lossAt(error) < lossAt(best)) best = error;
  }
  return best;
}

/** Number of steps in the search for the end of a leeway. */
const STEPS = 120;

/** Linear interpolation between values at integer positions, constant beyond the ends. */
function between(values: readonly number[], place: number): number {
  const clamped = Math.min(Math.max(place, 0), values.length - 1);
  const low = Math.min(Math.floor(clamped), values.length - 2);
  const [from, to] = [at(values, low), at(values, low + 1)];
  return from + (clamped - low) * (to - from);
}

const DRAWS = 2000;

/** Probability that every remaining error lies within its leeway if the sources have this `covariance` (rad, mm, row-major). */
export function chanceSafe(leeways: readonly Leeway[], covariance: Float64Array, seed: number): number {
  const draw = normalDraws(covariance, createStream(seed, 9));
  let safe = 0;
  for (let d = 0; d < DRAWS; d++) {
    const errors = draw();
    const isWithin = ({ adjuster: { source }, low, high }: Leeway): boolean => {
      const error = at(errors, source);
      return error >= low && error <= high;
    };
    if (leeways.every(isWithin)) safe++;
  }
  return safe / DRAWS;
}
