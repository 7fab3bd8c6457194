import type { Arrangement } from "../lattice/arrangement.js";
import type { Job } from "./job.js";

type Leaning = Pick<Job, "depth" | "jigs" | "asCut">;

/** The depth at which a job's cells are read at the front and at the back, mm; `undefined` where nothing leans and both are the same. */
export function leaningDepth({ depth, jigs, asCut }: Leaning): number | undefined {
  const leansByJig = jigs.some(({ lean }) => lean && (lean.expected !== 0 || lean.trustedTo > 0));
  const leansAsCut = Object.values(asCut?.pieces ?? {}).some(({ cuts = {} }) =>
    Object.values(cuts).some(({ lean = 0 }) => lean !== 0),
  );
  return leansByJig || leansAsCut ? depth : undefined;
}

/** A cell or bench of a job, with the job's depth where anything leans. */
export function atJobDepth(arrangement: Arrangement, job: Leaning): Arrangement {
  const depth = leaningDepth(job);
  return depth === undefined ? arrangement : { ...arrangement, depth };
}
