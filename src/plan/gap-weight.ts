import { forecastCells, type Moves, outcomesOf } from "../calibrate/cell-forecast.js";
import type { Specimen } from "../calibrate/specimen.js";
import type { Source } from "../cutting/sources.js";
import type { Job } from "../job/job.js";
import type { Knowledge } from "./scenarios.js";

export interface GapWeightOptions {
  /** What is moved before the cells are cut. */
  readonly moves: Moves;
  /** Cells drawn; default {@link GAP_CELLS}. */
  readonly draws?: number;
  readonly seed: number;
}

export const GAP_CELLS = 200;
/**
 * Step of the differences, in prior standard deviations: about what some trials leave unknown. The worst gap bends wherever joints change places, so that W is
 * right for uncertainties of that size (a tenth to a third of what is trusted: within a quarter) and too small for far smaller ones.
 */
const STEP = 0.1;

/**
 * How the worst gap of the cells to come hangs on the sources: W = mean of g·gᵀ over drawn cells, g the change of a cell's worst gap by each source (in units of its
 * prior standard deviation), by central differences. tr(W·V) is then the mean variance of the worst gap that comes from not knowing the sources, mm².
 */
export function gapWeight(
  job: Job,
  specimen: Specimen,
  sources: readonly Source[],
  { estimates, covariance }: Knowledge,
  { moves, draws = GAP_CELLS, seed }: GapWeightOptions,
): Float64Array {
  const p = sources.length;
  const forecast = forecastCells(job, specimen, { estimates, covariance, draws, seed });
  const slopes = sources.map(({ trustedTo }, c) => {
    const matters = specimen.matrix.some((x, k) => k % p === c && x !== 0);
    if (!matters) return new Float64Array(draws);
    const worst = (step: number): Float64Array =>
      outcomesOf(forecast, { ...moves, change: moves.change.with(c, moves.change[c]! + step * trustedTo) })
        .worstGap;
    const [up, down] = [worst(STEP), worst(-STEP)];
    return up.map((gap, d) => (gap - down[d]!) / (2 * STEP));
  });
  const out = new Float64Array(p * p);
  for (let a = 0; a < p; a++) {
    for (let b = 0; b < p; b++) {
      let sum = 0;
      for (let d = 0; d < draws; d++) sum += slopes[a]![d]! * slopes[b]![d]!;
      out[a * p + b] = sum / draws;
    }
  }
  return out;
}
