import { quantileSorted } from "simple-statistics";
import { at } from "../core/numeric/dense.js";
import { closingLimits, type Job } from "../model/job/job.js";
import type { Reading } from "../model/readings.js";
import { predictAsMade } from "../physics/fitting/fit-lengths.js";
import { orNothing } from "../physics/predict/cell-model.js";
import { requireFacesMeet, requireSensibleErrors } from "../physics/predict/predict-cell.js";
import { type Decision, decideMoves } from "./decision/decide-moves.js";
import {
  type DrawnCells,
  drawCells,
  errorsOfDraw,
  type Moves,
  noMoves,
  outcomesOf,
} from "./decision/drawn-cells.js";
import { fitSources, type SourceFit } from "./estimates/fit-sources.js";
import { profileIntervals } from "./estimates/intervals.js";
import { type FitVerdict, judgeFit, type ReadingResidual, residualsOf } from "./estimates/judge-fit.js";
import { cellSpecimen } from "./likelihood/specimen.js";

/** Posterior predictive distribution of a cell cut with given settings. */
export interface CalibrationForecast {
  /** Widest gap of each drawn cell, mm, rising; likewise the deepest press. */
  readonly widestGap: Float64Array;
  readonly deepestPress: Float64Array;
  /** Median and central 95 % interval, mm. */
  readonly gap: { readonly median: number; readonly interval: readonly [number, number] };
  readonly press: { readonly median: number; readonly interval: readonly [number, number] };
  /** Chance that a cell closes (gap and press within the job's limits; the gap alone where pieces are fitted by trial), and its standard uncertainty from the number of draws. */
  readonly closes: number;
  readonly closesUncertainty: number;
  /**
   * Largest and median difference of the widest gap between first and exact order, mm, over a sample of the cells: those of them that exact order can seat
   * (errors may be unknown enough for faces not to meet); 0 of none.
   */
  readonly orderDifference: { readonly largest: number; readonly median: number; readonly cells: number };
}

/** The result of trial cuts: the sources, the moves, and the cell before and after them. */
export interface Calibration {
  readonly job: Job;
  readonly readings: readonly Reading[];
  readonly fit: SourceFit;
  /** Each source's 95 % interval by profile likelihood, as a cross-check; rad or mm. */
  readonly profiles: readonly (readonly [number, number])[];
  readonly residuals: readonly ReadingResidual[];
  readonly verdict: FitVerdict;
  readonly decision: Decision;
  readonly before: CalibrationForecast;
  readonly after: CalibrationForecast;
}

/** Seed, number of draws, progress callback. */
export interface CalibrateOptions {
  /** Seed of every draw; default 1. */
  readonly seed?: number;
  /** Number of cells drawn for the forecast; default 10,000. */
  readonly draws?: number;
  readonly onProgress?: (step: string) => void;
}

const DEFAULT_DRAWS = 10_000;
const EXACT_SAMPLE = 100;

/**
 * From measured trial cuts to what to change on which jig: estimates of the sources (estimates/), goodness of fit, the moves of least expected loss (decision/), and the cells to
 * come before and after those moves.
 *
 * @throws RangeError when there are no readings.
 * @example
 * calibrateJob(job, readings, { draws: 200 }).verdict.verdict // "fits"
 */
export function calibrateJob(
  job: Job,
  readings: readonly Reading[],
  options: CalibrateOptions = {},
): Calibration {
  const { seed = 1, draws = DEFAULT_DRAWS, onProgress = () => {} } = options;
  if (readings.length === 0) throw new RangeError("There are no readings to calibrate from.");
  onProgress("fitting the jigs and stops to the readings");
  const fit = fitSources(job, readings, { seed });
  const profiles = profileIntervals(fit);
  onProgress("judging the fit");
  const residuals = residualsOf(fit, seed);
  const verdict = judgeFit(fit, residuals, seed);
  onProgress("weighing the moves");
  const specimen = cellSpecimen(job, fit.likelihood.cells);
  const decision = decideMoves(job, fit, specimen, { seed });
  onProgress("simulating the cells to come");
  const { estimates, covariance, sample } = fit;
  const forecast = drawCells(job, specimen, { estimates, covariance, sample, draws, seed: seed + 1 });
  return {
    ...{ job, readings, fit, profiles, residuals, verdict, decision },
    before: forecastOf(forecast, noMoves(estimates.length)),
    after: forecastOf(forecast, decision.moves),
  };
}

export function forecastOf(forecast: DrawnCells, moves: Moves): CalibrationForecast {
  const { widestGap, deepestPress } = outcomesOf(forecast, moves);
  const { gap, snug } = closingLimits(forecast.job);
  const closing = widestGap.reduce(
    (n, open, i) => n + (open <= gap && at(deepestPress, i) <= snug ? 1 : 0),
    0,
  );
  const closes = closing / widestGap.length;
  // Two successes and two failures are added, so that the standard error is not 0 at shares of 0 and 1 (A. Agresti and B. A. Coull, 1998).
  const shrunk = (closing + 2) / (widestGap.length + 4);
  return {
    gap: summary(widestGap),
    press: summary(deepestPress),
    closes,
    closesUncertainty: Math.sqrt((shrunk * (1 - shrunk)) / (widestGap.length + 4)),
    orderDifference: orderDifference(forecast, moves, widestGap),
    widestGap: widestGap.slice().sort(),
    deepestPress: deepestPress.slice().sort(),
  };
}

function summary(values: Float64Array): CalibrationForecast["gap"] {
  const sorted = Array.from(values).sort((a, b) => a - b);
  return {
    median: quantileSorted(sorted, 0.5),
    interval: [quantileSorted(sorted, 0.025), quantileSorted(sorted, 0.975)],
  };
}

function orderDifference(
  forecast: DrawnCells,
  moves: Moves,
  first: Float64Array,
): CalibrationForecast["orderDifference"] {
  const differences = Array.from({ length: Math.min(EXACT_SAMPLE, forecast.draws) }, (_, d) =>
    orNothing(() => exactWidestGap(forecast, errorsOfDraw(forecast, moves, d))),
  )
    .flatMap((gap, d) => (gap === null ? [] : [Math.abs(gap - at(first, d))]))
    .sort((a, b) => a - b);
  const cells = differences.length;
  return cells === 0
    ? { largest: 0, median: 0, cells }
    : { largest: at(differences, cells - 1), median: quantileSorted(differences, 0.5), cells };
}

/** Widest gap of one cell in exact order, mm; seated by the kernel where pieces stay as cut. */
function exactWidestGap({ specimen: { reader }, job }: DrawnCells, errors: Float64Array): number {
  const { model, cell } = reader;
  if (job.lengths === "fitted")
    return predictAsMade({ ...job, order: "exact" }, model, errors, false, reader.fittingPlan).prediction
      .widestGap;
  requireSensibleErrors(cell, errors);
  const { gap } = reader.seatOne(errors, { order: "exact", pressRatio: job.pressRatio });
  requireFacesMeet(cell, errors, gap);
  return Math.max(0, ...gap.subarray(0, model.readProbes));
}
