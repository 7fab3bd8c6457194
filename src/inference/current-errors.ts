import { addScaled, at, innerProduct, rowOf, rowsOf } from "../core/numeric/dense.js";
import { sameSource } from "../model/source-id.js";
import { indexOfSource, missOf, type Source } from "../model/sources.js";
import type { JobPosterior } from "./job-posterior.js";

/** The errors of ramps, stops, leans and the batch as they are now: after the known moves of every round and the re-setting errors of those moves; rad and mm. */
export interface CurrentErrors {
  readonly sources: readonly Source[];
  /** Mean and covariance, row-major. */
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
  /** Draws, row-major (draw, source). */
  readonly sample: Float64Array;
}

export function currentErrors(posterior: JobPosterior): CurrentErrors {
  const { job, sources: all, estimates, covariance, sample } = posterior;
  const p = all.length;
  const sources = all.filter(
    ({ id }) => id.round === undefined && id.kind !== "reference" && id.kind !== "bias",
  );
  const m = sources.length;
  // now = known + parts · sources
  const known = new Float64Array(m);
  const parts = new Float64Array(m * p);
  for (const [i, { id }] of sources.entries()) {
    parts[i * p + indexOfSource(all, id)] = 1;
    for (const { name, moves } of job.rounds)
      for (const move of moves.filter(({ source }) => sameSource(source, id))) {
        known[i] = at(known, i) + move.by;
        const miss = indexOfSource(all, missOf(move, name));
        if (miss >= 0) parts[i * p + miss] = 1;
      }
  }
  const now = (values: Float64Array, out: Float64Array): void => {
    for (let i = 0; i < m; i++) out[i] = at(known, i) + innerProduct(rowOf(parts, i, p), values);
  };
  const mean = new Float64Array(m);
  now(estimates, mean);
  const drawn = new Float64Array((sample.length / p) * m);
  for (const [d, row] of rowsOf(sample, p).entries()) now(row, rowOf(drawn, d, m));
  const half = new Float64Array(m * p);
  for (const [i, part] of rowsOf(parts, p).entries())
    for (const [k, weight] of part.entries())
      if (weight !== 0) addScaled(rowOf(half, i, p), rowOf(covariance, k, p), weight);
  return {
    sources,
    mean,
    sample: drawn,
    covariance: Float64Array.from({ length: m * m }, (_, k) =>
      innerProduct(rowOf(half, Math.floor(k / m), p), rowOf(parts, k % m, p)),
    ),
  };
}
