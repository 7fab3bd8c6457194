import type { Cell } from "../../lattice/cell.js";
import { cellModel } from "../cell-model.js";
import { type CellPrediction, predictCell } from "../predict-cell.js";
import { requireSensibleErrors } from "../require-meeting.js";
import { type FitOptions, type FittedLengths, fitLengths } from "./fit-lengths.js";

/** How a cell lies whose pieces were fitted by trial. Its first-order difference is between the cell fitted and seated in one order and in the other. */
export interface FittedPrediction extends CellPrediction, FittedLengths {}

/**
 * Fits a cell's pieces by trial, and predicts the gaps that remain.
 *
 * @param errors how the pieces were cut before any was fitted (rad and mm, lay-out of `errorLayout`).
 * @throws SeatingError when the pieces find no rest.
 * @throws PredictError when the errors are so large that faces no longer meet or a group cannot be fitted, or the snug limit is not greater than zero.
 */
export function predictFitted(cell: Cell, errors: Float64Array, options: FitOptions): FittedPrediction {
  requireSensibleErrors(cell, errors);
  const model = cellModel(cell);
  const fitted = (["first", "exact"] as const).map((order) => {
    const lengths = fitLengths(model, errors, { ...options, order });
    return { ...lengths, ...predictCell(cell, lengths.errors, { ...options, order }) };
  });
  const [first, exact] = fitted as [FittedPrediction, FittedPrediction];
  const firstOrderDifference = first.probes.reduce(
    (most, { gap }, i) => Math.max(most, Math.abs(gap - exact.probes[i]!.gap)),
    0,
  );
  return { ...(options.order === "first" ? first : exact), firstOrderDifference };
}
