import type { Cell } from "../../lattice/cell.js";
import { cellModel } from "../cell-model.js";
import { settleWithSlopes } from "../settle.js";

/** Size of the error at which the signs of the gaps are read, rad or mm: in first order the signs are the same at every size. */
const SIZE = 1e-3;

/**
 * Change of each gap (in the order of `cellProbes`) per unit of an error, from the model's own derivatives at first order.
 *
 * @param errors lay-out of `errorLayout`, for a size of one; the slope holds for this sense of it.
 */
export function slopesByModel(cell: Cell, errors: Float64Array): Float64Array {
  const model = cellModel(cell);
  const { slopes } = settleWithSlopes(
    model,
    errors.map((value) => SIZE * value),
    { order: "first" },
  );
  const columns = errors.length;
  return Float64Array.from({ length: model.readProbes }, (_, i) =>
    errors.reduce((sum, value, e) => sum + value * slopes[i * columns + e]!, 0),
  );
}
