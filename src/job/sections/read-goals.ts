import type { LengthUnit } from "../../quantity/index.js";
import type { JobSource } from "../file/job-source.js";
import { stockShape, toleranceGoalShape } from "../shape/goal-shapes.js";
import type { Stock } from "../stock.js";
import type { ToleranceGoal } from "../tolerance-goal.js";

/** What the pieces are cut from; `null` for a job that does not say. */
export function readStock(source: JobSource, unit: LengthUnit): Stock | null {
  if (source.at(["stock"]) === undefined) return null;
  return source.take(["stock"], stockShape(unit)) ?? null;
}

/** What is wanted of the cells; `null` for a job that does not say. */
export function readToleranceGoal(source: JobSource): ToleranceGoal | null {
  if (source.at(["tolerances"]) === undefined) return null;
  const read = source.take(["tolerances"], toleranceGoalShape);
  return read ? { ...read, costs: { ...read.costs, cuts: read.costs.cuts ?? null } } : null;
}
