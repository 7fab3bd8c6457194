import { at, columnOf, diagonalOf, lowerRowTimes, rowOf, rowTimes } from "../../core/numeric/dense.js";
import { choleskyInPlace } from "../../core/numeric/linear-algebra.js";
import { createStream, type RandomStream } from "../../core/numeric/random-stream.js";
import type { Job } from "../../model/job/job.js";
import type { CellSeater } from "../../physics/kernel/fitted-kernel.js";
import { addOwnErrors, type Specimen, sharedErrors } from "../likelihood/specimen.js";
import { lossesOfGaps, type PieceProbes, pieceProbes } from "./cell-loss.js";

/** Draws of the cells still to be cut, with their shared sources and the errors of every cut. All moves are compared on the same draws (common random numbers). */
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
  /** Where the gaps of each piece are read. */
  readonly pieces: readonly PieceProbes[];
}

/** The cells of a forecast after some moves. */
interface Outcome {
  /** Widest gap of each cell, mm, ≥ 0. */
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
  /** Draws of the sources to use instead of normal ones, row-major (draw, source); repeated if there are too few. */
  readonly sample?: Float64Array;
  readonly draws: number;
  readonly seed: number;
}

/** Draws the next cells from the distribution of the sources. */
export function drawCells(job: Job, specimen: Specimen, options: DrawOptions): DrawnCells {
  const { estimates, sample, draws, seed } = options;
  const p = estimates.length;
  const errors = specimen.betweenCutSd.length;
  const sources = sample ? thinned(sample, draws, p) : normalSources(options);
  const cutToCut = createStream(seed, 1).fill(new Float64Array(draws * errors));
  const reset = createStream(seed, 2).fill(new Float64Array(draws * p));
  const all = new Float64Array(draws * errors);
  const writeShared = sharedErrors(specimen, p);
  for (let d = 0; d < draws; d++) {
    writeShared(sources, d * p, all, d * errors);
    addOwnErrors(specimen, cutToCut, all, d * errors);
  }
  return {
    job,
    specimen,
    sources,
    reset,
    draws,
    columns: p,
    errors: all,
    pieces: pieceProbes(specimen.cell),
  };
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
 * Returns a function that makes one draw from N(0, covariance) at each call; the covariance (row-major) must have full rank.
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

/** The seater of the job's cell at first order, for the way the cell is made. */
const seaterOf = ({ specimen: { reader }, job: { pressRatio, lengths, limits } }: DrawnCells): CellSeater =>
  reader.seater({ pressRatio, ...(lengths === "fitted" && { snug: limits.snug }) });

/**
 * Seats every draw after the moves at first order, one batch at a time. If the job fits its pieces by trial, pieces start as cut and are shortened until they go in; pieces that are
 * too short stay as they are.
 *
 * @param read receives the seater with `count` seated cells of the batch; the first of them is draw `from`.
 */
function seatMoved(
  forecast: DrawnCells,
  moves: Moves,
  read: (seater: CellSeater, from: number, count: number) => void,
): void {
  const { draws, errors, specimen, reset, columns: p } = forecast;
  const seater = seaterOf(forecast);
  const rows = specimen.betweenCutSd.length;
  // Each move acts on a few errors only.
  const acting = [...moves.change.entries()].flatMap(([c, change]) => {
    const resetSd = at(moves.resetSd, c);
    if (change === 0 && resetSd === 0) return [];
    const column = columnOf(specimen.matrix, c, p);
    const touched = Int32Array.from([...column.keys()].filter((e) => column[e] !== 0));
    return [{ c, change, resetSd, column, touched }];
  });
  for (let from = 0; from < draws; from += seater.batchTrials) {
    const count = Math.min(seater.batchTrials, draws - from);
    for (let t = 0; t < count; t++) {
      const d = from + t;
      const own = seater.drawsOf(t);
      for (let e = 0; e < rows; e++) own[e] = errors[d * rows + e]!;
      for (let m = 0; m < acting.length; m++) {
        const { c, change, resetSd, column, touched } = acting[m]!;
        const shift = change + resetSd * reset[d * p + c]!;
        for (let i = 0; i < touched.length; i++) own[touched[i]!]! += shift * column[touched[i]!]!;
      }
    }
    seater.seat(count);
    read(seater, from, count);
  }
}

/** Widest gap and deepest press (mm) of every draw after the moves, at first order. */
export function outcomesOf(forecast: DrawnCells, moves: Moves): Outcome {
  const { draws } = forecast;
  const out = { widestGap: new Float64Array(draws), deepestPress: new Float64Array(draws) };
  seatMoved(forecast, moves, (seater, from, count) => {
    for (let t = 0; t < count; t++) {
      out.widestGap[from + t] = seater.widestGap(t);
      out.deepestPress[from + t] = seater.deepestPress(t);
    }
  });
  return out;
}

/** A subset of the draws, given by their indices. */
export function drawsAt(forecast: DrawnCells, places: readonly number[]): DrawnCells {
  const { columns, specimen } = forecast;
  const picked = (values: Float64Array, width: number): Float64Array => {
    const out = new Float64Array(places.length * width);
    for (const [k, place] of places.entries()) out.set(rowOf(values, place, width), k * width);
    return out;
  };
  return {
    ...forecast,
    draws: places.length,
    sources: picked(forecast.sources, columns),
    reset: picked(forecast.reset, columns),
    errors: picked(forecast.errors, specimen.betweenCutSd.length),
  };
}

export const noMoves = (columns: number): Moves => ({
  change: new Float64Array(columns),
  resetSd: new Float64Array(columns),
});

/** Elementary errors of one draw after the moves. */
export function errorsOfDraw(forecast: DrawnCells, moves: Moves, draw: number): Float64Array {
  const { specimen, errors, reset, columns: p } = forecast;
  const resetting = rowOf(reset, draw, p);
  const shift = moves.change.map((change, c) => change + at(moves.resetSd, c) * at(resetting, c));
  const own = rowOf(errors, draw, specimen.betweenCutSd.length);
  return own.map((error, e) => rowTimes(specimen.matrix, e, p, shift, error));
}

/**
 * Loss of each cell after the moves, multiplied by the number of cells in the batch, in scrapped pieces; one list for each scale of the limits. The cells are seated once: if pieces are fitted by
 * trial, they are fitted to the job's own snug limit at every scale.
 *
 * @param scales factors of both limits, > 0.
 */
export function lossesAtLimits(
  forecast: DrawnCells,
  moves: Moves,
  scales: readonly number[],
): Float64Array[] {
  const losses = scales.map(() => new Float64Array(forecast.draws));
  seatMoved(forecast, moves, (seater, from, count) => {
    const found = lossesOfGaps(forecast.pieces, (t) => seater.gapsOf(t), count, forecast.job, scales);
    for (const [s, own] of found.entries()) at(losses, s).set(own, from);
  });
  return losses;
}

/** Loss of each cell after the moves at the job's own limits, multiplied by the number of cells in the batch, in scrapped pieces. */
export const cellLosses = (forecast: DrawnCells, moves: Moves): Float64Array =>
  at(lossesAtLimits(forecast, moves, [1]), 0);

export function meanOf(values: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += values[i]!;
  return sum / values.length;
}
