import { sampleStandardDeviation } from "simple-statistics";
import type { Costs } from "../job/costs.js";
import type { Job } from "../job/job.js";
import { type Adjuster, adjustersOf, NO_MOVE, type Setting } from "./adjusters.js";
import { forecastCells, type Moves, noMoves, outcomesOf } from "./cell-forecast.js";
import { cellLosses, meanOf } from "./cell-loss.js";
import type { SourceFit } from "./fit-sources.js";
import type { Specimen } from "./specimen.js";
import { worthOfTrial } from "./worth-of-trial.js";

/** Whether to move an adjuster; `measure first`: the readings do not tell enough yet. */
export type Verdict = "adjust" | "leave alone" | "measure first";

/** What to do with one adjuster. */
export interface Advice {
  readonly adjuster: Adjuster;
  readonly verdict: Verdict;
  /** The move to make; no move unless the verdict is `adjust`. */
  readonly setting: Setting;
  /** Move that would bring the source's best estimate to zero, were any move possible, and its standard uncertainty; rad or mm. */
  readonly wanted: number;
  readonly standardUncertainty: number;
  /** Fall of the expected loss over the batch through this move, in scrapped pieces, before its cost. */
  readonly gain: number;
  /** What one more trial on this source is worth, in scrapped pieces, before its cost. */
  readonly trialWorth: number;
  readonly reason: string;
}

/** What to do with every adjuster, and the moves that make it up. */
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
 * The moves that make the cells to come best: one rule, over every unlocked adjuster in its real settings.
 * A move is made when the expected loss over the batch falls by more than the cost of adjusting; when one more trial is worth more than it costs, that comes first.
 */
export function decideMoves(job: Job, fit: SourceFit, specimen: Specimen, options: DecideOptions): Decision {
  const { seed, draws = DECISION_DRAWS } = options;
  const { costs } = job;
  const { estimates, covariance, sample } = fit;
  const forecast = forecastCells(job, specimen, { estimates, covariance, sample, draws, seed });
  const adjusters = adjustersOf(job, fit.sources);
  const lossesOf = (choice: readonly Setting[]): Float64Array =>
    cellLosses(outcomesOf(forecast, movesOf(forecast.columns, adjusters, choice)), job);
  const lossOf = (choice: readonly Setting[]): number => meanOf(lossesOf(choice));
  const adjusted = (choice: readonly Setting[]): number => choice.filter(({ change }) => change !== 0).length;
  const total = (choice: readonly Setting[]): number => lossOf(choice) + costs.adjusting * adjusted(choice);
  const worth = Math.min(draws, fit.effectiveDraws);
  const choice = onlySure(bestChoice(adjusters, fit, total), lossesOf, costs.adjusting, worth);
  const best = lossOf(choice);
  const advice = adjusters.map((adjuster, k): Advice => {
    const chosen = choice[k]!;
    const without = chosen.change === 0 ? best : lossOf(choice.with(k, NO_MOVE));
    const source = fit.sources[adjuster.source]!;
    const gain = without - best;
    const trialWorth = worthOfTrial({ forecast, fit, adjusters, choice, lossesOf }, k);
    const verdict =
      trialWorth > costs.trial ? "measure first" : chosen.change === 0 ? "leave alone" : "adjust";
    return {
      ...{ adjuster, verdict, gain, trialWorth },
      setting: verdict === "measure first" ? NO_MOVE : chosen,
      wanted: -source.now.estimate,
      standardUncertainty: source.now.standardUncertainty,
      reason: reasonOf(verdict, gain, trialWorth, costs),
    };
  });
  const made = advice.map(({ setting }) => setting);
  return { advice, moves: movesOf(forecast.columns, adjusters, made) };
}

export function movesOf(columns: number, adjusters: readonly Adjuster[], choice: readonly Setting[]): Moves {
  const moves = noMoves(columns);
  for (const [k, { source, resetScatter }] of adjusters.entries()) {
    if (choice[k]!.change === 0) continue;
    moves.change[source] = choice[k]!.change;
    moves.scatter[source] = resetScatter;
  }
  return moves;
}

/** Setting nearest to a wanted change. */
function nearest(settings: readonly Setting[], wanted: number): Setting {
  return settings.reduce((a, b) => (Math.abs(b.change - wanted) < Math.abs(a.change - wanted) ? b : a));
}

/** From the moves that undo each estimate, one adjuster at a time to its neighbours and to no move, while the total falls. */
function bestChoice(
  adjusters: readonly Adjuster[],
  { sources }: SourceFit,
  total: (choice: readonly Setting[]) => number,
): Setting[] {
  let choice = adjusters.map(({ settings, source }) => nearest(settings, -sources[source]!.now.estimate));
  let least = total(choice);
  for (let sweep = 0; sweep < MOST_SWEEPS; sweep++) {
    const before = least;
    for (const [k, { settings }] of adjusters.entries()) {
      const at = settings.indexOf(choice[k]!);
      const others = [settings[at - 1], settings[at + 1], NO_MOVE];
      for (const other of new Set(others)) {
        if (!other || other.change === choice[k]!.change) continue;
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
 * Gives up moves whose saving over their cost the draws cannot tell from chance (one standard error), the least sure first: the best of many settings looks better on the draws that it was
 * chosen by than it is.
 *
 * @param worth how many independent draws the losses are worth.
 */
function onlySure(
  chosen: readonly Setting[],
  lossesOf: (choice: readonly Setting[]) => Float64Array,
  cost: number,
  worth: number,
): Setting[] {
  let choice = [...chosen];
  for (;;) {
    const now = lossesOf(choice);
    const sure = choice.map(({ change }, k) => {
      if (change === 0) return Number.POSITIVE_INFINITY;
      const saved = lossesOf(choice.with(k, NO_MOVE)).map((loss, d) => loss - now[d]!);
      return meanOf(saved) - sampleStandardDeviation([...saved]) / Math.sqrt(worth) - cost;
    });
    const least = Math.min(...sure);
    if (least > 0) return choice;
    choice = choice.with(sure.indexOf(least), NO_MOVE);
  }
}

const noMoveOf = (settings: readonly Setting[]): Setting =>
  settings.find(({ change }) => change === 0) ?? NO_MOVE;

function reasonOf(verdict: Verdict, gain: number, trialWorth: number, costs: Costs): string {
  const pieces = (value: number): string => `${value.toFixed(1)} scrapped pieces`;
  if (verdict === "measure first") {
    return `One more trial is worth about ${pieces(trialWorth)} over ${costs.cells} cells and costs ${pieces(costs.trial)}.`;
  }
  if (verdict === "adjust") {
    return `The move saves about ${pieces(gain)} over ${costs.cells} cells and costs ${pieces(costs.adjusting)}.`;
  }
  return `No setting at hand saves more over ${costs.cells} cells than the ${pieces(costs.adjusting)} that adjusting costs.`;
}
