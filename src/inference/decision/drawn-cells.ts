import { lowerRowTimes } from "../../core/numeric/dense.js";
import { choleskyInPlace } from "../../core/numeric/linear-algebra.js";
import { createStream } from "../../core/numeric/random-stream.js";
import { closingLimits, type Job } from "../../model/job/job.js";
import { type CellSeater, seatBlock } from "../../physics/kernel/fitted-kernel.js";
import { errorsFrom, type Specimen } from "../likelihood/specimen.js";

/** Draws of the cells still to be cut: of the shared sources and of every cut. All moves are compared on the same draws (common random numbers). */
export interface DrawnCells {
  readonly job: Job;
  readonly specimen: Specimen;
  /** Shared sources of each draw, row-major (draw, source), rad and mm, before any move. */
  readonly sources: Float64Array;
  /** One standard normal for each source and draw, for the error of re-setting. */
  readonly reset: Float64Array;
  readonly draws: number;
  readonly columns: number;
  /** Elementary errors of each draw before any move, row-major (draw, error). */
  readonly errors: Float64Array;
}

/** One cell of the forecast. */
interface Outcome {
  /** mm, ≥ 0. */
  readonly worstGap: Float64Array;
  readonly worstPress: Float64Array;
}

/** Move of each source, and the standard deviation of its re-setting; rad or mm. */
export interface Moves {
  readonly change: Float64Array;
  readonly resetSd: Float64Array;
}

interface DrawOptions {
  readonly estimates: Float64Array;
  readonly covariance: Float64Array;
  /** Draws of the sources to use instead of normal ones, row-major (draw, source); repeated where there are too few. */
  readonly sample?: Float64Array;
  readonly draws: number;
  readonly seed: number;
}

/** Draws the cells to come from what is known of the sources. */
export function drawCells(job: Job, specimen: Specimen, options: DrawOptions): DrawnCells {
  const { estimates, sample, draws, seed } = options;
  const p = estimates.length;
  const errors = specimen.betweenCutSd.length;
  const sources = sample ? thinned(sample, draws, p) : normalSources(options);
  const cutToCut = createStream(seed, 1).fill(new Float64Array(draws * errors));
  for (let i = 0; i < cutToCut.length; i++) cutToCut[i]! *= specimen.betweenCutSd[i % errors]!;
  const reset = createStream(seed, 2).fill(new Float64Array(draws * p));
  const all = new Float64Array(draws * errors);
  for (let d = 0; d < draws; d++) {
    const shared = errorsFrom(specimen, sources.subarray(d * p, (d + 1) * p));
    for (let e = 0; e < errors; e++) all[d * errors + e] = shared[e]! + cutToCut[d * errors + e]!;
  }
  return { ...{ job, specimen, sources, reset, draws }, columns: p, errors: all };
}

/** Evenly spaced draws of a sample, repeated from its start where it is too short. */
function thinned(sample: Float64Array, draws: number, p: number): Float64Array {
  const held = sample.length / p;
  const step = Math.max(1, held / draws);
  const sources = new Float64Array(draws * p);
  for (let d = 0; d < draws; d++) {
    const from = Math.floor(d * step) % held;
    sources.set(sample.subarray(from * p, (from + 1) * p), d * p);
  }
  return sources;
}

function normalSources({ estimates, covariance, draws, seed }: DrawOptions): Float64Array {
  const p = estimates.length;
  const root = rootOf(covariance, p);
  const stream = createStream(seed, 0);
  const sources = new Float64Array(draws * p);
  for (let d = 0; d < draws; d++) {
    const normals = stream.fill(new Float64Array(p));
    for (const [i, mean] of estimates.entries()) sources[d * p + i] = lowerRowTimes(root, i, normals, mean);
  }
  return sources;
}

/** Cholesky factor of the covariance; sources known exactly have a row of zeros. */
function rootOf(covariance: Float64Array, p: number): Float64Array {
  const root = covariance.slice();
  const deviations = Array.from({ length: p }, (_, i) => Math.sqrt(covariance[i * p + i]!));
  for (let i = 0; i < p; i++) {
    for (let j = 0; j < p; j++) root[i * p + j]! /= deviations[i]! * deviations[j]! || 1;
    root[i * p + i]! += 1e-12;
  }
  if (!choleskyInPlace(root, p))
    throw new RangeError("The covariance of the sources is not positive definite.");
  for (let i = 0; i < p; i++) for (let j = 0; j <= i; j++) root[i * p + j]! *= deviations[i]!;
  return root;
}

/** What seats the job's cell at first order as it is made. */
const seaterOf = ({ specimen: { reader }, job: { pressRatio, lengths, limits } }: DrawnCells): CellSeater =>
  reader.seater({ pressRatio, ...(lengths === "fitted" && { snug: limits.snug }) });

/**
 * Widest gap and deepest press of every draw under the moves, at first order. Where the job fits its pieces by trial, pieces start as cut, are shortened until they
 * go in, and stay as they are where they are too short.
 */
export function outcomesOf(forecast: DrawnCells, moves: Moves): Outcome {
  const { draws } = forecast;
  const out = { worstGap: new Float64Array(draws), worstPress: new Float64Array(draws) };
  seatBlock(seaterOf(forecast), movedErrors(forecast, moves), draws, out);
  return out;
}

/** Elementary errors of every draw under the moves, row-major (draw, error). */
function movedErrors({ errors, specimen, reset, columns: p, draws }: DrawnCells, moves: Moves): Float64Array {
  const rows = specimen.betweenCutSd.length;
  const moved = errors.slice();
  for (let c = 0; c < p; c++) {
    if (moves.change[c] === 0 && moves.resetSd[c] === 0) continue;
    for (let d = 0; d < draws; d++) {
      const shift = moves.change[c]! + moves.resetSd[c]! * reset[d * p + c]!;
      for (let e = 0; e < rows; e++) moved[d * rows + e]! += specimen.matrix[e * p + c]! * shift;
    }
  }
  return moved;
}

export const noMoves = (columns: number): Moves => ({
  change: new Float64Array(columns),
  resetSd: new Float64Array(columns),
});

/** Elementary errors of one draw under the moves. */
export function errorsOfDraw(forecast: DrawnCells, moves: Moves, draw: number): Float64Array {
  const { specimen, errors, reset, columns: p } = forecast;
  const rows = specimen.betweenCutSd.length;
  return Float64Array.from({ length: rows }, (_, e) => {
    let sum = errors[draw * rows + e]!;
    for (let c = 0; c < p; c++) {
      const shift = moves.change[c]! + moves.resetSd[c]! * reset[draw * p + c]!;
      sum += specimen.matrix[e * p + c]! * shift;
    }
    return sum;
  });
}

const MOST_TIGHT = 5;
const MOST_GAPS = 3;

/**
 * Loss of each cell of the outcome, times the cells of the batch, in scrapped pieces. Where pieces are fitted by trial, trimming is part of the work and no cell is too tight:
 * what is lost are pieces too short to close their gaps, and gaps that no trimming closes.
 */
export function cellLosses(
  { worstGap, worstPress }: Outcome,
  { limits, costs, lengths }: Pick<Job, "limits" | "costs" | "lengths">,
): Float64Array {
  const snug = closingLimits({ limits, lengths }).snug;
  return worstGap.map((gap, i) => {
    const gaps = Math.min(gap / limits.gap, MOST_GAPS);
    const tight = Math.min(worstPress[i]! / snug, MOST_TIGHT);
    const open = (gaps > 1 ? costs.openCell : 0) + costs.gap * gaps;
    return costs.cells * (open + (tight > 1 ? costs.tightCell * tight : 0));
  });
}

export const meanOf = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / values.length;
