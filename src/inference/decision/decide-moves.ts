import { sampleStandardDeviation } from "simple-statistics";
import { at, columnOf, minus } from "../../core/numeric/dense.js";
import { householderQr, solveTriangle } from "../../core/numeric/linear-algebra.js";
import type { Costs, Job } from "../../model/job/job.js";
import type { SourceFit } from "../estimates/fit-sources.js";
import { instrumentVariance } from "../likelihood/reading-likelihood.js";
import type { Specimen } from "../likelihood/specimen.js";
import { type Adjuster, adjustersOf, NO_MOVE, nearestSetting, type Setting } from "./adjusters.js";
import {
  cellLosses,
  type DrawnCells,
  drawCells,
  type Moves,
  meanOf,
  noMoves,
  outcomesOf,
} from "./drawn-cells.js";

/** Whether to move an adjuster; `measure first`: one more trial is worth more than it costs. */
export type MoveVerdict = "adjust" | "leave alone" | "measure first";

/** What to do with one adjuster. */
export interface Advice {
  readonly adjuster: Adjuster;
  readonly verdict: MoveVerdict;
  /** The move to make; no move unless the verdict is `adjust`. */
  readonly setting: Setting;
  /** The move that would bring the current estimate to zero if settings were continuous, and its standard uncertainty; rad or mm. */
  readonly wanted: number;
  readonly standardUncertainty: number;
  /** Decrease of the expected loss over the batch by this move, in scrapped pieces, before its cost. */
  readonly gain: number;
  /** Expected value of the information from one more trial on this source, in scrapped pieces, before its cost. */
  readonly valueOfInformation: number;
  readonly reason: string;
}

/** What to do with every adjuster, and the moves that follow. */
export interface Decision {
  readonly advice: readonly Advice[];
  readonly moves: Moves;
}

export interface DecideOptions {
  readonly seed: number;
  /** Cells drawn to compare moves on; default {@link DECISION_DRAWS}. */
  readonly draws?: number;
}

export const DECISION_DRAWS = 1000;
const MOST_SWEEPS = 4;

/**
 * Where a move is decided: Bayesian decision over every unlocked adjuster in its available settings. Minimised is the posterior mean of the loss over the batch (`cellLosses`, in scrapped
 * pieces, over drawn cells) plus the cost of adjusting; a move whose saving is within the sampling error of the draws is not made. Where the expected value of the information from
 * one more trial exceeds the trial's cost, that trial comes first (H. Raiffa and R. Schlaifer, Applied Statistical Decision Theory, 1961).
 */
export function decideMoves(job: Job, fit: SourceFit, specimen: Specimen, options: DecideOptions): Decision {
  const { seed, draws = DECISION_DRAWS } = options;
  const { costs } = job;
  const { estimates, covariance, sample } = fit;
  const forecast = drawCells(job, specimen, { estimates, covariance, sample, draws, seed });
  const adjusters = adjustersOf(job, fit.sources);
  const lossesOf = (choice: readonly Setting[]): Float64Array =>
    cellLosses(outcomesOf(forecast, movesOf(forecast.columns, adjusters, choice)), job);
  const lossOf = (choice: readonly Setting[]): number => meanOf(lossesOf(choice));
  const adjusted = (choice: readonly Setting[]): number => choice.filter(({ change }) => change !== 0).length;
  const total = (choice: readonly Setting[]): number => lossOf(choice) + costs.adjusting * adjusted(choice);
  const effectiveSize = Math.min(draws, fit.effectiveSampleSize);
  const choice = onlySignificant(bestChoice(adjusters, fit, total), lossesOf, costs.adjusting, effectiveSize);
  const best = lossOf(choice);
  const advice = adjusters.map((adjuster, k): Advice => {
    const chosen = at(choice, k);
    const without = chosen.change === 0 ? best : lossOf(choice.with(k, NO_MOVE));
    const source = at(fit.sources, adjuster.source);
    const gain = without - best;
    const valueOfInformation = expectedValueOfInformation({ forecast, fit, adjusters, choice, lossesOf }, k);
    const verdict =
      valueOfInformation > costs.trial ? "measure first" : chosen.change === 0 ? "leave alone" : "adjust";
    return {
      ...{ adjuster, verdict, gain, valueOfInformation },
      setting: verdict === "measure first" ? NO_MOVE : chosen,
      wanted: -source.current.estimate,
      standardUncertainty: source.current.standardUncertainty,
      reason: reasonOf(verdict, gain, valueOfInformation, costs),
    };
  });
  const made = advice.map(({ setting }) => setting);
  return { advice, moves: movesOf(forecast.columns, adjusters, made) };
}

export function movesOf(columns: number, adjusters: readonly Adjuster[], choice: readonly Setting[]): Moves {
  const moves = noMoves(columns);
  for (const [k, { source, resetSd }] of adjusters.entries()) {
    const { change } = at(choice, k);
    if (change === 0) continue;
    moves.change[source] = change;
    moves.resetSd[source] = resetSd;
  }
  return moves;
}

/** Coordinate descent from the settings nearest to undoing each estimate: one adjuster at a time to a neighbouring setting or to no move, while the total decreases. */
function bestChoice(
  adjusters: readonly Adjuster[],
  { sources }: SourceFit,
  total: (choice: readonly Setting[]) => number,
): Setting[] {
  let choice = adjusters.map(({ settings, source }) =>
    nearestSetting(settings, -at(sources, source).current.estimate),
  );
  let least = total(choice);
  for (let sweep = 0; sweep < MOST_SWEEPS; sweep++) {
    const before = least;
    for (const [k, { settings }] of adjusters.entries()) {
      const place = settings.indexOf(at(choice, k));
      const others = [settings[place - 1], settings[place + 1], NO_MOVE];
      for (const other of new Set(others)) {
        if (!other || other.change === at(choice, k).change) continue;
        const changed = choice.with(k, other.change === 0 ? noMoveOf(settings) : other);
        const value = total(changed);
        if (value < least) [choice, least] = [changed, value];
      }
    }
    if (least === before) break;
  }
  return choice;
}

/**
 * Drops moves whose saving does not exceed their cost by one standard error, the least significant first: the best of many settings looks better than it is on the draws it was
 * chosen by.
 *
 * @param effectiveSize effective sample size of the losses.
 */
function onlySignificant(
  chosen: readonly Setting[],
  lossesOf: (choice: readonly Setting[]) => Float64Array,
  cost: number,
  effectiveSize: number,
): Setting[] {
  let choice = [...chosen];
  for (;;) {
    const now = lossesOf(choice);
    const sure = choice.map(({ change }, k) => {
      if (change === 0) return Number.POSITIVE_INFINITY;
      const saved = minus(lossesOf(choice.with(k, NO_MOVE)), now);
      return meanOf(saved) - sampleStandardDeviation([...saved]) / Math.sqrt(effectiveSize) - cost;
    });
    const least = Math.min(...sure);
    if (least > 0) return choice;
    choice = choice.with(sure.indexOf(least), NO_MOVE);
  }
}

const noMoveOf = (settings: readonly Setting[]): Setting =>
  settings.find(({ change }) => change === 0) ?? NO_MOVE;

function reasonOf(verdict: MoveVerdict, gain: number, valueOfInformation: number, costs: Costs): string {
  const pieces = (value: number): string => `${value.toFixed(1)} scrapped pieces`;
  if (verdict === "measure first") {
    return `One more trial is worth about ${pieces(valueOfInformation)} over ${costs.cells} cells and costs ${pieces(costs.trial)}.`;
  }
  if (verdict === "adjust") {
    return `The move saves about ${pieces(gain)} over ${costs.cells} cells and costs ${pieces(costs.adjusting)}.`;
  }
  return `No available setting saves more over ${costs.cells} cells than the ${pieces(costs.adjusting)} that adjusting costs.`;
}

export interface TrialValueProblem {
  readonly forecast: DrawnCells;
  readonly fit: SourceFit;
  readonly adjusters: readonly Adjuster[];
  readonly choice: readonly Setting[];
  /** Loss of each drawn cell under a choice of settings, over the batch. */
  readonly lossesOf: (choice: readonly Setting[]) => Float64Array;
}

/** Alternatives within this many standard uncertainties of undoing the estimate are compared, at most this many of them. */
const REACH = 2.5;
const MOST_SETTINGS = 6;

/**
 * Expected value of sample information of one more trial on the source of adjuster k, in scrapped pieces over the batch: how much lower the expected loss is when the setting is
 * chosen after the trial instead of now. For each other setting the difference of loss is regressed on the source (a quadratic: the conditional mean that
 * a partial expected value of information needs), and the trial's posterior mean has the spread that one more trial like the others would give it.
 */
export function expectedValueOfInformation(problem: TrialValueProblem, k: number): number {
  const { forecast, fit, adjusters, choice, lossesOf } = problem;
  const adjuster = at(adjusters, k);
  const { source } = adjuster;
  const { estimate, standardUncertainty: u, current } = at(fit.sources, source);
  const now = lossesOf(choice);
  const z = columnOf(forecast.sources, source, forecast.columns).map((value) => (value - estimate) / u);
  const fits = rivals(adjuster, at(choice, k), current.estimate, u).map((setting) =>
    quadraticFit(z, minus(lossesOf(choice.with(k, setting)), now)),
  );
  const share = learnedByOneTrial(fit, source);
  const root = Math.sqrt(share);
  // Knowing the posterior mean √share·z, what is left of z has variance 1 − share.
  const expected = ([a, b, c]: Quadratic, mean: number): number => a + b * mean + c * (mean ** 2 + 1 - share);
  const later = z.map((value) => Math.min(0, ...fits.map((f) => expected(f, root * value))));
  const today = Math.min(0, ...fits.map((f) => meanOf(z.map((value) => expected(f, root * value)))));
  return Math.max(0, today - meanOf(later));
}

/** Alternative settings that might be preferred after a trial, evenly spaced. */
function rivals({ settings }: Adjuster, chosen: Setting, estimate: number, u: number): Setting[] {
  const near = settings.filter(
    ({ change }) => change !== chosen.change && (change === 0 || Math.abs(change + estimate) <= REACH * u),
  );
  if (near.length <= MOST_SETTINGS) return near;
  return Array.from({ length: MOST_SETTINGS }, (_, i) =>
    at(near, Math.round((i * (near.length - 1)) / (MOST_SETTINGS - 1))),
  );
}

/** Coefficients of 1, z and z². */
type Quadratic = readonly [number, number, number];

/** Least squares of y on a quadratic in z. */
function quadraticFit(z: Float64Array, y: Float64Array): Quadratic {
  const matrix = Float64Array.from({ length: 3 * z.length }, (_, i) => at(z, Math.floor(i / 3)) ** (i % 3));
  const triangle = householderQr(matrix, z.length, 3, y);
  const [a = 0, b = 0, c = 0] = solveTriangle(triangle, triangle.qtb);
  return [a, b, c];
}

/**
 * Share of a source's variance that one more trial would remove: a trial like those already cut, or one cut measured with an instrument of the shop that reads the source directly,
 * whichever is more informative.
 */
function learnedByOneTrial(fit: SourceFit, source: number): number {
  const { standardUncertainty: u, priorSd } = at(fit.sources, source);
  const fromData = Math.max(0, 1 / u ** 2 - 1 / priorSd ** 2);
  const alike = fromData / Math.max(1, trialsOn(fit, source));
  const one = Math.max(alike, directInformation(fit, source));
  return one / (1 / u ** 2 + one);
}

/** Information of one cut measured with the best instrument that reads the source's own quantity; 0 where the shop has none. */
function directInformation({ sources, likelihood: { job } }: SourceFit, source: number): number {
  const { angular } = at(sources, source);
  const what = angular ? "angle" : "length";
  const betweenCutSd = angular ? job.betweenCutSd.angle : job.betweenCutSd.length;
  const each = job.instruments
    .filter(({ reads }) => reads.includes(what))
    .map((instrument) => 1 / (instrumentVariance(instrument, { value: 0 }) + betweenCutSd ** 2));
  return Math.max(0, ...each);
}

/** Trials whose readings depend on a source. */
function trialsOn({ best, likelihood }: SourceFit, source: number): number {
  const p = likelihood.sources.length;
  return best.modes.filter(({ expectation }) =>
    expectation.bySource.some((slope, k) => k % p === source && Math.abs(slope) > 1e-6),
  ).length;
}
