import { adjustersOf, NO_MOVE, type Setting } from "../calibrate/adjusters.js";
import { type Forecast, forecastCells, outcomesOf } from "../calibrate/cell-forecast.js";
import { cellLosses, meanOf } from "../calibrate/cell-loss.js";
import { decideMoves, movesOf } from "../calibrate/decide-moves.js";
import type { SourceFit } from "../calibrate/fit-sources.js";
import { cellSpecimen } from "../calibrate/specimen.js";
import type { Job } from "../job/job.js";

/** The advice drawn from one data set, against the true sources. Losses are in scrapped pieces over the job's batch. */
export interface JudgedAdvice {
  /** Whether the advice moves anything. */
  readonly adjusted: boolean;
  /** True expected loss as the shop stands, and with the advised moves made, the cost of making them included. */
  readonly before: number;
  readonly after: number;
  /** The same two as the fit expects them. */
  readonly expectedBefore: number;
  readonly expectedAfter: number;
  readonly adjusters: readonly JudgedMove[];
}

export interface JudgedMove {
  readonly adjusted: boolean;
  readonly measureFirst: boolean;
  /** What the best of all settings of this adjuster would truly save against leaving it alone, the others as advised; before its cost. */
  readonly worth: number;
}

export interface JudgeOptions {
  readonly seed: number;
  /** Cells that the true losses are taken over; default {@link TRUE_CELLS}. */
  readonly cells?: number;
}

export const TRUE_CELLS = 400;

/**
 * Asks for advice and looks at what it would do in the true shop: cells drawn at the true sources, the same before and after, with the cuts' scatter and that
 * of re-setting.
 */
export function judgeAdvice(
  job: Job,
  fit: SourceFit,
  truth: Float64Array,
  { seed, cells = TRUE_CELLS }: JudgeOptions,
): JudgedAdvice {
  const specimen = cellSpecimen(job);
  const { advice } = decideMoves(job, fit, specimen, { seed });
  const { estimates, covariance, sample } = fit;
  const believed = forecastCells(job, specimen, {
    estimates,
    covariance,
    sample,
    draws: cells,
    seed: seed + 2,
  });
  const known = { estimates: truth, covariance: new Float64Array(truth.length ** 2) };
  const forecast = forecastCells(job, specimen, { ...known, draws: cells, seed: seed + 1 });
  const adjusters = adjustersOf(job, fit.sources);
  const lossIn = (cells: Forecast, choice: readonly Setting[]): number =>
    meanOf(cellLosses(outcomesOf(cells, movesOf(truth.length, adjusters, choice)), job));
  const lossOf = (choice: readonly Setting[]): number => lossIn(forecast, choice);
  const advised = advice.map(({ setting }) => setting);
  const moved = advised.filter(({ change }) => change !== 0).length;
  const still = adjusters.map(() => NO_MOVE);
  return {
    adjusted: moved > 0,
    before: lossOf(still),
    after: lossOf(advised) + moved * job.costs.adjusting,
    expectedBefore: lossIn(believed, still),
    expectedAfter: lossIn(believed, advised) + moved * job.costs.adjusting,
    adjusters: adjusters.map(({ settings }, k) => {
      const losses = settings.map((setting) => lossOf(advised.with(k, setting)));
      return {
        adjusted: advised[k]!.change !== 0,
        measureFirst: advice[k]!.verdict === "measure first",
        worth: lossOf(advised.with(k, NO_MOVE)) - Math.min(...losses),
      };
    }),
  };
}
