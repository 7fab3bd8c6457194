import type { Cell } from "../../lattice/cell.js";
import { predictCell } from "../predict-cell.js";

/** Step of a one-sided difference, rad or mm. Its own error is of the order of the step's square, the solver's of 1e-10 mm over the step. */
export const STEP = 1e-4;

/**
 * Change of each gap (in the order of `cellProbes`) per unit of an error, from whole predictions in exact order at one step and at two:
 * (4·g(h) − g(2h)) / 2h, for g(0) = 0.
 *
 * @param errors lay-out of `errorLayout`, for a size of one; the slope holds for this sense of it.
 */
export function slopesBySteps(cell: Cell, errors: Float64Array, step: number = STEP): Float64Array {
  const gapsAt = (size: number): number[] =>
    predictCell(
      cell,
      errors.map((value) => size * value),
    ).probes.map(({ gap }) => gap);
  const [one, two] = [gapsAt(step), gapsAt(2 * step)];
  return Float64Array.from(one, (gap, i) => (4 * gap - two[i]!) / (2 * step));
}
