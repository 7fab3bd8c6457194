import {
  addScaled,
  at,
  columnOf,
  diagonalOf,
  entryOf,
  lowerRowTimes,
  rowOf,
  rowTimes,
} from "../../core/numeric/dense.js";
import { choleskyInPlace } from "../../core/numeric/linear-algebra.js";
import { createStream, type RandomStream } from "../../core/numeric/random-stream.js";
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
  readonly widestGap: Float64Array;
  readonly deepestPress: Float64Array;
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
  const reset = createStream(seed, 2).fill(new Float64Array(draws * p));
  const all = new Float64Array(draws * errors);
  for (let d = 0; d < draws; d++) {
    const shared = errorsFrom(specimen, rowOf(sources, d, p));
    const own = rowOf(cutToCut, d, errors);
    for (const [e, sd] of specimen.betweenCutSd.entries())
      all[d * errors + e] = at(shared, e) + at(own, e) * sd;
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
    sources.set(rowOf(sample, from, p), d * p);
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
  const deviations = diagonalOf(covariance).map(Math.sqrt);
  const rowSd = (k: number): number => at(deviations, Math.floor(k / p));
  const root = covariance.map((value, k) => {
    const correlation = value / (rowSd(k) * at(deviations, k % p) || 1);
    return k % (p + 1) === 0 ? correlation + 1e-12 : correlation;
  });
  if (!choleskyInPlace(root, p))
    throw new RangeError("The covariance of the sources is not positive definite.");
  return root.map((value, k) => value * rowSd(k));
}

/**
 * Draws from N(0, covariance), one each time it is called; for a covariance (row-major) of full rank.
 *
 * @throws RangeError when the covariance is not positive definite
 */
export function normalDraws(covariance: Float64Array, stream: RandomStream): () => Float64Array<ArrayBuffer> {
  const p = Math.sqrt(covariance.length);
  const root = covariance.map((value, k) => (k % (p + 1) === 0 ? value * (1 + 1e-12) : value));
  if (!choleskyInPlace(root, p))
    throw new RangeError("The covariance of the sources is not positive definite.");
  return () => {
    const normals = stream.fill(new Float64Array(p));
    return normals.map((_, i) => lowerRowTimes(root, i, normals));
  };
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
  const out = { widestGap: new Float64Array(draws), deepestPress: new Float64Array(draws) };
  seatBlock(seaterOf(forecast), movedErrors(forecast, moves), draws, out);
  return out;
}

/** Elementary errors of every draw under the moves, row-major (draw, error). */
function movedErrors({ errors, specimen, reset, columns: p, draws }: DrawnCells, moves: Moves): Float64Array {
  const rows = specimen.betweenCutSd.length;
  const moved = errors.slice();
  for (const [c, change] of moves.change.entries()) {
    const resetSd = at(moves.resetSd, c);
    if (change === 0 && resetSd === 0) continue;
    const column = columnOf(specimen.matrix, c, p);
    for (let d = 0; d < draws; d++)
      addScaled(rowOf(moved, d, rows), column, change + resetSd * entryOf(reset, d, c, p));
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
  const resetting = rowOf(reset, draw, p);
  const shift = moves.change.map((change, c) => change + at(moves.resetSd, c) * at(resetting, c));
  const own = rowOf(errors, draw, specimen.betweenCutSd.length);
  return own.map((error, e) => rowTimes(specimen.matrix, e, p, shift, error));
}

const MOST_TIGHT = 5;
const MOST_GAPS = 3;

/**
 * Loss of each cell of the outcome, times the cells of the batch, in scrapped pieces. Where pieces are fitted by trial, trimming is part of the work and no cell is too tight:
 * what is lost are pieces too short to close their gaps, and gaps that no trimming closes.
 */
export function cellLosses(
  { widestGap, deepestPress }: Outcome,
  { limits, costs, lengths }: Pick<Job, "limits" | "costs" | "lengths">,
): Float64Array {
  const snug = closingLimits({ limits, lengths }).snug;
  return widestGap.map((gap, i) => {
    const gaps = Math.min(gap / limits.gap, MOST_GAPS);
    const tight = Math.min(at(deepestPress, i) / snug, MOST_TIGHT);
    const open = (gaps > 1 ? costs.openCell : 0) + costs.gap * gaps;
    return costs.cells * (open + (tight > 1 ? costs.tightCell * tight : 0));
  });
}

export const meanOf = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / values.length;
