import { present } from "../core/numeric/dense.js";
import type { Job } from "../model/job/job.js";
import type { Reading } from "../model/readings.js";
import { type CalibrationForecast, cellsOfShops, forecastOf } from "./calibration-forecast.js";
import { cardDecision } from "./card-decision.js";
import type { Decision } from "./decision/decide-moves.js";
import { drawCells, noMoves } from "./decision/drawn-cells.js";
import type { SourceFit } from "./estimates/fit-sources.js";
import type { ReadingResidual } from "./estimates/judge-fit.js";
import { SensibleCells } from "./forecast/sensible-cells.js";
import { type JobPosterior, jobPosterior, type StepProgress, withScatters } from "./job-posterior.js";
import { cellSpecimen } from "./likelihood/specimen.js";
import type { FitVerdict } from "./misfit/judge-readings.js";

/** The result of trial cuts: the sources, the moves, and the cell before and after them. */
export interface Calibration {
  readonly job: Job;
  readonly readings: readonly Reading[];
  /** Posterior of the sources given the readings and the job: all results below are computed from it. */
  readonly posterior: JobPosterior;
  readonly fit: SourceFit;
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
  /** Whether each source is also estimated from the readings alone (`SourceEstimate.withoutPrior`); default true. */
  readonly alsoWithoutPriors?: boolean;
  /** The fit of these readings with this seed, if it has already been computed. */
  readonly posterior?: JobPosterior;
  readonly onProgress?: StepProgress;
}

const DEFAULT_DRAWS = 10_000;

/**
 * Computes from measured trial cuts what to change on which jig: estimates of the sources (estimates/), goodness of fit, the moves of least expected loss (decision/), and a forecast of the
 * cells to be cut before and after those moves.
 *
 * @throws RangeError when there are no readings.
 * @throws UserError (code "command") when the readings are so far from what the job states that no move can be recommended.
 * @example
 * calibrateJob(job, readings, { draws: 200 }).verdict.verdict // "fits"
 */
export function calibrateJob(
  job: Job,
  readings: readonly Reading[],
  options: CalibrateOptions = {},
): Calibration {
  const { seed = 1, draws = DEFAULT_DRAWS, alsoWithoutPriors = true } = options;
  const onProgress: StepProgress = options.onProgress ?? (() => {});
  if (readings.length === 0) throw new RangeError("There are no readings to calibrate from.");
  const posterior = options.posterior ?? jobPosterior(job, readings, { seed, alsoWithoutPriors, onProgress });
  const fit = present(posterior.fit);
  const specimen = cellSpecimen(withScatters(job, posterior), fit.target.cells);
  const { residuals, goodness } = posterior;
  const { verdict, decision } = cardDecision(job, fit, specimen, { seed, residuals, goodness, onProgress });
  onProgress("simulating the cells to come");
  const { estimates, covariance, sample } = fit;
  const forecast = drawCells(job, specimen, { estimates, covariance, sample, draws, seed: seed + 1 });
  const shops = { posterior, cells: cellsOfShops(job, specimen, posterior, seed + 2) };
  const sensible = new SensibleCells(specimen.cell);
  return {
    job,
    readings,
    posterior,
    fit,
    residuals,
    verdict,
    decision,
    before: forecastOf(forecast, noMoves(estimates.length), shops, sensible),
    after: forecastOf(forecast, decision.moves, shops, sensible),
  };
}
