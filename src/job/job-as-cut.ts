import { type AsCut, asCutErrors } from "../cutting/as-cut-errors.js";
import { errorLayout } from "../cutting/error-layout.js";
import { jigOf, leanSense, setUpByGroup } from "../cutting/sources.js";
import type { Cell } from "../lattice/cell.js";
import type { Job } from "./job.js";

/**
 * The elementary errors of a job's cell as it was cut (rad and mm, lay-out of `errorLayout`): those that the file lists, and the known lean of the jig
 * for every cut that the file gives no lean of its own.
 */
export function jobAsCut(
  job: Pick<Job, "asCut" | "jigs" | "setUps" | "batchThickness">,
  cell: Cell,
): Float64Array {
  const asCut: AsCut = job.asCut ?? {};
  const errors = asCutErrors(cell, asCut);
  if (cell.depth === undefined) return errors;
  const { indexOf } = errorLayout(cell);
  const setUpOf = setUpByGroup(job);
  for (const { name, cuts } of cell.pieces) {
    for (const cut of cuts) {
      const setUp = setUpOf(cut);
      if (!setUp || asCut.pieces?.[name]?.cuts?.[cut.face]?.lean !== undefined) continue;
      const { lean } = jigOf(job, setUp);
      if (lean) errors[indexOf("lean", name, cut.face)] = leanSense(lean, cut) * lean.expected;
    }
  }
  return errors;
}
