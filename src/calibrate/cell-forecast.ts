import type { Job } from "../job/job.js";
import { choleskyInPlace } from "../numeric/cholesky.js";
import { createStream } from "../numeric/random-stream.js";
import { cellModel } from "../predict/cell-model.js";
import { restLinear } from "../seating/rest-linear.js";
import type { Specimen } from "./specimen.js";

/** What may happen in the cells still to be cut: draws of the shared sources and of every cut, the same for each plan of moves that is compared. */
export interface Forecast {
  readonly job: Job;
  readonly specimen: Specimen;
  /** Shared sources of each draw, row-major (draw, source), rad and mm, before any move. */
  readonly sources: Float64Array;
  /** One standard normal a source and draw, for the scatter of re-settings. */
  readonly reset: Float64Array;
  /** Cut-to-cut errors of each draw, row-major (draw, error). */
  readonly cutToCut: Float64Array;
  readonly draws: number;
  readonly columns: number;
  /** First-order change of each gap by each source while no piece moves, row-major (probe, source). */
  readonly gapBySource: Float64Array;
  /** First-order gaps of each draw without moves, row-major (draw, probe). */
  readonly free: Float64Array;
}

/** One cell of the forecast. */
export interface Outcome {
  /** mm, ≥ 0. */
  readonly worstGap: Float64Array;
  readonly worstPress: Float64Array;
}

/** Moves by source, rad or mm, and what their re-setting scatters by. */
export interface Moves {
  readonly change: Float64Array;
  readonly scatter: Float64Array;
}

export interface ForecastOptions {
  readonly estimates: Float64Array;
  readonly covariance: Float64Array;
  readonly draws: number;
  readonly seed: number;
}

/** Draws the cells to come from what is known of the sources. */
export function forecastCells(job: Job, specimen: Specimen, options: ForecastOptions): Forecast {
  const { estimates, covariance, draws, seed } = options;
  const p = estimates.length;
  const root = rootOf(covariance, p);
  const errors = specimen.scatter.length;
  const shared = createStream(seed, 0);
  const sources = new Float64Array(draws * p);
  for (let d = 0; d < draws; d++) {
    const normals = shared.fill(new Float64Array(p));
    for (let i = 0; i < p; i++) {
      let value = estimates[i]!;
      for (let k = 0; k <= i; k++) value += root[i * p + k]! * normals[k]!;
      sources[d * p + i] = value;
    }
  }
  const cutToCut = createStream(seed, 1).fill(new Float64Array(draws * errors));
  for (let i = 0; i < cutToCut.length; i++) cutToCut[i]! *= specimen.scatter[i % errors]!;
  const reset = createStream(seed, 2).fill(new Float64Array(draws * p));
  return {
    job,
    specimen,
    sources,
    reset,
    cutToCut,
    draws,
    columns: p,
    ...freeGapsOf(specimen, sources, cutToCut, draws, p),
  };
}

/** Lower triangle whose product with its transpose is the covariance; sources known exactly have a row of zeros. */
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

function freeGapsOf(
  { cell, matrix, known }: Specimen,
  sources: Float64Array,
  cutToCut: Float64Array,
  draws: number,
  p: number,
): Pick<Forecast, "gapBySource" | "free"> {
  const { direct, seating } = cellModel(cell);
  const probes = seating.weight.length;
  const errors = matrix.length / p;
  const gapBySource = new Float64Array(probes * p);
  for (let i = 0; i < probes; i++) {
    for (let e = 0; e < errors; e++) {
      const slope = direct[i * errors + e]!;
      if (slope !== 0) for (let c = 0; c < p; c++) gapBySource[i * p + c]! += slope * matrix[e * p + c]!;
    }
  }
  const free = new Float64Array(draws * probes);
  for (let d = 0; d < draws; d++) {
    for (let i = 0; i < probes; i++) {
      let gap = 0;
      for (let e = 0; e < errors; e++)
        gap += direct[i * errors + e]! * (known[e]! + cutToCut[d * errors + e]!);
      for (let c = 0; c < p; c++) gap += gapBySource[i * p + c]! * sources[d * p + c]!;
      free[d * probes + i] = gap;
    }
  }
  return { gapBySource, free };
}

/** Worst gap and press of draws `from` to `to` under the moves, at first order. */
export function outcomesOf(forecast: Forecast, moves: Moves, from = 0, to = forecast.draws): Outcome {
  const { specimen, reset, columns: p, gapBySource, free, job } = forecast;
  const model = cellModel(specimen.cell);
  const probes = model.seating.weight.length;
  const worstGap = new Float64Array(to - from);
  const worstPress = new Float64Array(to - from);
  const gaps = new Float64Array(probes);
  for (let d = from; d < to; d++) {
    const shift = moves.change.map((change, c) => change + moves.scatter[c]! * reset[d * p + c]!);
    for (let i = 0; i < probes; i++) {
      let gap = free[d * probes + i]!;
      for (let c = 0; c < p; c++) gap += gapBySource[i * p + c]! * shift[c]!;
      gaps[i] = gap;
    }
    const { gap } = restLinear(model.seating, model.nominal, gaps, job.pressRatio);
    let [open, press] = [0, 0];
    for (let i = 0; i < model.readProbes; i++) {
      open = Math.max(open, gap[i]!);
      press = Math.max(press, -gap[i]!);
    }
    worstGap[d - from] = open;
    worstPress[d - from] = press;
  }
  return { worstGap, worstPress };
}

export const noMoves = (columns: number): Moves => ({
  change: new Float64Array(columns),
  scatter: new Float64Array(columns),
});

/** Elementary errors of one draw under the moves: for a look at single cells in exact order. */
export function errorsOfDraw(forecast: Forecast, moves: Moves, draw: number): Float64Array {
  const { specimen, sources, reset, cutToCut, columns: p } = forecast;
  const errors = specimen.scatter.length;
  return Float64Array.from({ length: errors }, (_, e) => {
    let sum = specimen.known[e]! + cutToCut[draw * errors + e]!;
    for (let c = 0; c < p; c++) {
      const at = draw * p + c;
      sum += specimen.matrix[e * p + c]! * (sources[at]! + moves.change[c]! + moves.scatter[c]! * reset[at]!);
    }
    return sum;
  });
}
