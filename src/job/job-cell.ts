import type { Arrangement } from "../lattice/arrangement.js";
import type { Cell } from "../lattice/cell.js";
import { compileCell } from "../lattice/compile-cell.js";
import type { Job } from "./job.js";
import { atJobDepth } from "./leaning-depth.js";

type CellKeys = Pick<Job, "arrangement" | "strip">;

/**
 * The job's cell before its joints are looked for: its pieces, walls and groups of cuts.
 *
 * @throws RangeError when the arrangement was worked out for another strip; a loaded job's never was.
 */
export function jobArrangement({ arrangement, strip }: CellKeys): Arrangement {
  if (arrangement.strip !== strip)
    throw new RangeError(
      `The job's strip is ${strip} mm and its pattern was worked out for ${arrangement.strip} mm.`,
    );
  return arrangement;
}

/**
 * The cell that a job describes, at nominal size.
 *
 * @throws LatticeError when the strip does not suit the opening; a loaded job's always does.
 */
export const jobCell = (job: CellKeys & Pick<Job, "depth" | "jigs" | "asCut">): Cell =>
  compileCell(atJobDepth(jobArrangement(job), job));
