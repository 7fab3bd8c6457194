import { addScaled, at, columnOf, entryOf } from "../../core/numeric/dense.js";
import type { Cell, ErrorKind } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import type { ScatterId, SourceId } from "../../model/source-id.js";
import type { TrialInputs } from "../../physics/kernel/trial-record.js";
import { jobPosterior, type KnownSources, withScatters } from "../job-posterior.js";
import type { CellReader } from "../likelihood/read-specimen.js";
import { cellSpecimen } from "../likelihood/specimen.js";
import { SCATTERS } from "../posterior/block-density.js";
import { type CellDraws, SCATTER_FACTORS } from "./cell-drawer.js";

/** Sources that are reported together because they vary together or are of the same kind; independent of every other group. */
export interface SourceGroup {
  readonly id: SourceId | ScatterId;
  /** True: shared by all cuts it acts on. False: drawn anew for each cut, piece or wall. */
  readonly shared: boolean;
  /** Indices of the draws of a trial that belong to this group. */
  readonly draws: readonly number[];
  /** Value of each of these draws, as a standard normal, at which its error is zero, as if the group were perfect. */
  readonly perfect: readonly number[];
  /** Mean and standard deviation of the error of each draw, rad if `angular`, otherwise mm. A grid has both offsets (mm) and turns (rad). */
  readonly spread: readonly {
    readonly mean: number;
    readonly deviation: number;
    readonly angular: boolean;
  }[];
}

/** The errors of a job's next cell as a linear map of draws with mean 0 and standard deviation 1. */
export interface ForecastSources {
  readonly cell: Cell;
  /** @internal */
  readonly reader: CellReader;
  /** errors = mean + matrix · draws, with the draws of {@link CellDraws}. */
  readonly inputs: TrialInputs;
  readonly draws: CellDraws;
  readonly groups: readonly SourceGroup[];
}

/** Group of each cut-to-cut error by its kind; the two kinds of a wall form one group. */
const BETWEEN_CUT_GROUPS = {
  angle: "angle",
  axial: "length",
  lean: "lean",
  thickness: "thickness",
  turn: "wall",
  offset: "wall",
} as const satisfies Record<ErrorKind, ScatterId["of"]>;

/** Row of {@link SCATTERS} that applies to a group of cut-to-cut errors; the scatters of walls and leans are as the job states them. */
const SCATTER_COLUMN: Readonly<Record<ScatterId["of"], number>> = {
  angle: SCATTERS.indexOf("angle"),
  length: SCATTERS.indexOf("length"),
  thickness: SCATTERS.indexOf("thickness"),
  lean: -1,
  wall: -1,
};

/**
 * Every source of error of a job with its distribution: the shared sources as in a posterior; cuts, pieces and walls normal, each with its between-cut standard deviation.
 * A thicker piece is also cut differently if a fence bears on one side of the bevel.
 *
 * @param posterior posterior of the sources; default: the prior that the job states, without readings.
 */
export function forecastSources(
  stated: Job,
  posterior: KnownSources = jobPosterior(stated, []),
): ForecastSources {
  const job = withScatters(stated, posterior);
  const specimen = cellSpecimen(job);
  const { cell, reader } = specimen;
  const layout = errorLayout(cell);
  const errors = layout.entries.length;
  const columns: Float64Array[] = [];
  const mean = specimen.known.slice();
  const groups: SourceGroup[] = [];
  const { sources, estimates, covariance } = posterior;
  const p = sources.length;
  const kept: number[] = [];
  for (const [s, { id, angular }] of sources.entries()) {
    const column = columnOf(specimen.matrix, s, p);
    if (column.every((slope) => slope === 0)) continue;
    const [estimate, deviation] = [at(estimates, s), Math.sqrt(entryOf(covariance, s, s, p))];
    addScaled(mean, column, estimate);
    groups.push({
      id,
      shared: true,
      draws: [columns.length],
      perfect: [-estimate / deviation],
      spread: [{ mean: estimate, deviation, angular }],
    });
    columns.push(column.map((slope) => slope * deviation));
    kept.push(s);
  }
  const scatterOf: number[] = [];
  for (const group of new Set(Object.values(BETWEEN_CUT_GROUPS))) {
    const draws: number[] = [];
    const spread: SourceGroup["spread"][number][] = [];
    for (const [e, { kind }] of layout.entries.entries()) {
      const deviation = at(specimen.betweenCutSd, e);
      if (BETWEEN_CUT_GROUPS[kind] !== group || !(deviation > 0)) continue;
      const column = new Float64Array(errors);
      column[e] = deviation;
      for (const { from, to, factor } of specimen.carried) if (from === e) column[to] = deviation * factor;
      draws.push(columns.length);
      scatterOf.push(SCATTER_COLUMN[group]);
      spread.push({ mean: 0, deviation, angular: kind === "angle" || kind === "turn" });
      columns.push(column);
    }
    const id: ScatterId = { kind: "scatter", of: group };
    if (draws.length > 0) groups.push({ id, shared: false, draws, perfect: draws.map(() => 0), spread });
  }
  const matrix = new Float64Array(errors * columns.length);
  for (const [k, column] of columns.entries())
    for (const [e, slope] of column.entries()) matrix[e * columns.length + k] = slope;
  return {
    cell,
    reader,
    inputs: { mean, matrix, draws: columns.length },
    groups,
    draws: cellDraws(posterior, kept, Int8Array.from(scatterOf), job.betweenCutSd),
  };
}

/**
 * How cells are drawn from a posterior.
 *
 * @param kept indices of those sources that act on the cell.
 * @param scatters the scatters that serve as units of the draws of single cuts.
 */
function cellDraws(
  { normal, sample, draws, effectiveSampleSize, scatters, estimates, covariance, sources }: KnownSources,
  kept: readonly number[],
  scatterOf: Int8Array,
  units: Job["betweenCutSd"],
): CellDraws {
  const p = sources.length;
  const shared = kept.length;
  const deviations = kept.map((s) => Math.sqrt(entryOf(covariance, s, s, p)));
  const correlation = Float64Array.from({ length: shared * shared }, (_, k) => {
    const [i, j] = [Math.floor(k / shared), k % shared];
    if (i === j) return 1;
    return entryOf(covariance, at(kept, i), at(kept, j), p) / (at(deviations, i) * at(deviations, j));
  });
  const tied = correlation.some((value, k) => value !== 0 && k % (shared + 1) !== 0);
  const common = { shared, scatterOf, correlation: tied ? correlation : null };
  if (normal) return { ...common, shops: null };
  const standardised = Float64Array.from({ length: draws * shared }, (_, k) => {
    const [d, i] = [Math.floor(k / shared), k % shared];
    const s = at(kept, i);
    return (entryOf(sample, d, s, p) - at(estimates, s)) / at(deviations, i);
  });
  const factors = Float64Array.from({ length: draws * SCATTER_FACTORS }, (_, k) => {
    const unit = units[at(SCATTERS, k % SCATTER_FACTORS)];
    return unit > 0 ? at(scatters, k) / unit : 0;
  });
  const shops = { count: draws, effectiveSize: effectiveSampleSize, draws: standardised, factors };
  return { ...common, shops };
}
