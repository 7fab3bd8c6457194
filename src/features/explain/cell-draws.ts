import { at, rowOf } from "../../core/numeric/dense.js";
import type { SourceFit } from "../../inference/estimates/fit-sources.js";
import type { CellReader } from "../../inference/likelihood/read-specimen.js";
import type { Job } from "../../model/job/job.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import type { CellRead } from "./cells-read.js";
import { type ErrorShares, errorShares } from "./error-shares.js";

/** One draw of a cell; all draws are equally probable. */
export interface CellDraw {
  /** Errors by cause, row-major (cause, error), and their sum, rad and mm. */
  readonly parts: Float64Array;
  readonly errors: Float64Array;
  /** State of each cause; see `ErrorShares.statesOf`. */
  readonly states: Float64Array;
  /** Gaps at the cell's probes in the job's order, mm. */
  readonly gaps: Float64Array;
}

/** Posterior draws of a cell that was read. */
export interface ReadCellDraws {
  readonly cell: CellRead;
  readonly shares: ErrorShares;
  readonly draws: readonly CellDraw[];
}

/** Number of draws of a cell that are used. */
const DRAWS = 512;

/** Draws of a cell's errors and gaps from a fit whose states were kept. */
export function drawsOfCell(fit: SourceFit, cell: CellRead): ReadCellDraws {
  const { sources, states, target } = fit;
  const { job } = target;
  const { reader } = cell.part.specimen;
  const shares = errorShares(job, cell, sources);
  const size = cell.part.specimen.known.length;
  const draws = evenly(states.length, DRAWS).flatMap((d): CellDraw[] => {
    const state = at(states, d);
    const values = state.sources.map((x, s) => x * at(sources, s).priorSd);
    const parts = shares.of(values, at(state.latents, cell.block));
    const errors = new Float64Array(size);
    for (const [k, value] of parts.entries()) errors[k % size] = at(errors, k % size) + value;
    const gaps = orNothing(() => reader.seatOne(errors, job).gap.slice(0, reader.model.readProbes));
    return gaps === null ? [] : [{ parts, errors, gaps, states: shares.statesOf(values) }];
  });
  return { cell, shares, draws };
}

/** At most `most` of the indices below `count`, evenly spaced. */
export function evenly(count: number, most: number): number[] {
  const kept = Math.min(count, most);
  return Array.from({ length: kept }, (_, i) => Math.floor((i * count) / kept));
}

/**
 * Contribution of each cause to the gap at some probes, mm, row-major (probe, cause); a row adds up to the gap less the gap of the perfect cell there.
 *
 * The contributions are those of R. J. Aumann and L. S. Shapley (Values of Non-Atomic Games, 1974; for sharing costs L. J. Billera and D. C. Heath, Math. Oper. Res. 7, 1982): the slope of the
 * gap with respect to the cause's errors, averaged along the straight path from the perfect cell to this one. At first order the gaps of a cell are proportional along that path, whatever
 * joints are open or pressed, so the slopes on it equal those at its end, and the contributions add up by Euler's theorem on homogeneous functions. The difference between exact and first order is
 * distributed in proportion to the absolute contributions.
 */
export function contributionsAt(
  reader: CellReader,
  { parts, errors, gaps }: Omit<CellDraw, "states">,
  probes: readonly number[],
  { pressRatio, nominal }: Pick<Job, "pressRatio"> & { readonly nominal: Float64Array },
): Float64Array {
  const causes = parts.length / errors.length;
  const { slopesOf } = reader.linearGaps(errors, pressRatio);
  const out = new Float64Array(probes.length * causes);
  for (const [i, probe] of probes.entries()) {
    const slopes = slopesOf(probe);
    const row = rowOf(out, i, causes);
    let [sum, sizes] = [0, 0];
    for (let k = 0; k < causes; k++) {
      let share = 0;
      for (let e = 0; e < slopes.length; e++) share += at(slopes, e) * at(parts, k * slopes.length + e);
      row[k] = share;
      sum += share;
      sizes += Math.abs(share);
    }
    const left = at(gaps, probe) - at(nominal, probe) - sum;
    if (sizes > 0) for (const [k, share] of row.entries()) row[k] = share + (left * Math.abs(share)) / sizes;
  }
  return out;
}
