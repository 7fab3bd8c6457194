import { errorsFrom } from "../calibrate/group-readings.js";
import { sourcesOf } from "../calibrate/specimen.js";
import { expectedSources } from "../cutting/sources.js";
import type { Job } from "../job/job.js";
import type { Cause } from "./cause.js";
import type { CellRead } from "./cells-read.js";

/**
 * What may have made the cells: nothing but what every shop has, the scatter from cut to cut; one cause on top of it; or several at once.
 * Its unknowns are standard normals: for each cell its cut-to-cut errors, and last of all the size of each cause.
 */
export interface Hypothesis {
  readonly causes: readonly Cause[];
  /** How many unknowns there are. */
  readonly unknowns: number;
  /** Elementary errors of cell number `cell`, rad and mm, from the unknowns. */
  errorsOf(cell: number, unknowns: Float64Array, out: Float64Array): void;
  /** ∂error/∂unknown in each cell: of its own cut-to-cut errors, and of each cause's size. */
  readonly slopes: readonly { readonly scatter: Float64Array; readonly byCause: readonly Float64Array[] }[];
  /** The size of each cause, rad or mm. */
  sizesOf(unknowns: Float64Array): Float64Array;
}

/** What is expected of a specimen with nothing wrong: what the known moves have changed, and what a record leads to expect. */
export const usualErrors = (job: Job, specimen: CellRead["specimen"]): Float64Array =>
  errorsFrom(specimen, expectedSources(sourcesOf(job)));

export function hypothesisOf(
  job: Job,
  causes: readonly Cause[],
  cells: readonly Pick<CellRead, "specimen">[],
): Hypothesis {
  const own = cells[0]!.specimen.scatter.length;
  const last = cells.length * own;
  const usual = cells.map(({ specimen }) => usualErrors(job, specimen));
  const slopes = cells.map(({ specimen }) => ({
    scatter: specimen.scatter,
    byCause: causes.map(({ on, trustedTo }) => on(specimen).map((slope) => slope * trustedTo)),
  }));
  return {
    ...{ causes, slopes },
    unknowns: last + causes.length,
    errorsOf(cell, unknowns, out) {
      const { scatter, byCause } = slopes[cell]!;
      const base = usual[cell]!;
      for (let e = 0; e < own; e++) out[e] = base[e]! + scatter[e]! * unknowns[cell * own + e]!;
      for (const [k, direction] of byCause.entries()) {
        const size = unknowns[last + k]!;
        for (let e = 0; e < own; e++) out[e]! += direction[e]! * size;
      }
    },
    sizesOf: (unknowns) =>
      Float64Array.from(causes, ({ expected, trustedTo }, k) => expected + trustedTo * unknowns[last + k]!),
  };
}
