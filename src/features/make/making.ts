import type { Job } from "../../model/job/job.js";
import { type AssemblyStep, fittingOrder } from "./fitting-order.js";
import { type JigPlan, jigPlans } from "./jig-plan.js";
import { type GridLaps, gridLaps } from "./lap-plan.js";
import { type NeededAccuracy, neededAccuracy } from "./needed-accuracy.js";

/** Everything that is to be made for a job besides its pieces, and the order of putting them together. */
export interface Making {
  readonly job: Job;
  readonly needed: NeededAccuracy;
  readonly jigs: readonly JigPlan[];
  /** `null` where the job has no panel, or no straight strips leave its cells. */
  readonly laps: GridLaps | null;
  readonly steps: readonly AssemblyStep[];
}

/**
 * The jigs to make, the laps of the grid and the order of fitting, from a job alone.
 *
 * @example
 * planMaking(job).jigs.length // 3
 */
export function planMaking(job: Job): Making {
  const needed = neededAccuracy(job);
  return { job, needed, jigs: jigPlans(job, needed), laps: gridLaps(job), steps: fittingOrder(job) };
}
