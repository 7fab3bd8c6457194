import type { Cell } from "../lattice/cell.js";
import type { FittedGroup } from "../predict/fitting/fit-lengths.js";
import { predictFitted } from "../predict/fitting/predict-fitted.js";
import { type CellPrediction, predictCell } from "../predict/predict-cell.js";
import type { Job } from "./job.js";

/** A cell of the job as it is made: as cut, or with its pieces fitted by trial. */
export interface AsMade {
  /** The error vector of the finished cell. */
  readonly errors: Float64Array;
  readonly prediction: CellPrediction;
  /** How the pieces were fitted, in their order; `null` where the job takes them as cut. */
  readonly groups: readonly FittedGroup[] | null;
}

/**
 * Predicts a cell as the job says that it is made.
 *
 * @param errors how the pieces were cut (lay-out of `errorLayout`).
 * @param startsLong whether pieces that are too short as cut are taken as long enough; default true.
 * @throws PredictError when the errors are so large that faces no longer meet or pieces cannot be fitted.
 * @throws SeatingError when the pieces find no rest.
 */
export function predictAsMade(
  job: Pick<Job, "lengths" | "limits" | "order" | "pressRatio">,
  cell: Cell,
  errors: Float64Array,
  startsLong = true,
): AsMade {
  const { order, pressRatio } = job;
  if (job.lengths === "as-cut")
    return { errors, prediction: predictCell(cell, errors, { order, pressRatio }), groups: null };
  const fit = predictFitted(cell, errors, { order, pressRatio, snug: job.limits.snug, startsLong });
  return { errors: fit.errors, prediction: fit, groups: fit.groups };
}
