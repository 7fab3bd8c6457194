import type { Arrangement } from "../lattice/arrangement.js";
import { asanohaSquare } from "../lattice/asanoha-square.js";
import type { Cell } from "../lattice/cell.js";
import { compileCell } from "../lattice/compile-cell.js";
import type { Job } from "./job.js";
import { atJobDepth } from "./leaning-depth.js";

/** Patterns that a job can name. */
export const PATTERNS = ["asanoha-square"] as const satisfies readonly Job["pattern"][];

type CellKeys = Pick<Job, "pattern" | "opening" | "strip" | "seatShare">;

/** The job's cell before its joints are looked for: its pieces, walls and groups of cuts. */
export const jobArrangement = ({ opening, strip, seatShare }: CellKeys): Arrangement =>
  asanohaSquare({ opening, strip, seatShare });

/**
 * The cell that a job describes, at nominal size.
 *
 * @throws LatticeError when the strip does not suit the opening; a loaded job's always does.
 */
export const jobCell = (job: CellKeys & Pick<Job, "depth" | "jigs" | "asCut">): Cell =>
  compileCell(atJobDepth(jobArrangement(job), job));
