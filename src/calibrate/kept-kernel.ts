import { createKernel, type SeatingKernel } from "../kernel/create-kernel.js";
import type { Cell } from "../lattice/cell.js";
import { cellModel } from "../predict/cell-model.js";
import type { Order } from "../lattice/cell.js";

const kernels = new WeakMap<Cell, Map<string, SeatingKernel>>();

/** The kernel that seats a cell, compiled once for each order and press ratio; a kernel may not be in use in two places at a time. */
export function keptKernel(cell: Cell, order: Order, pressRatio: number): SeatingKernel {
  const known = kernels.get(cell) ?? new Map<string, SeatingKernel>();
  kernels.set(cell, known);
  const key = `${order} ${pressRatio}`;
  const kernel = known.get(key) ?? createKernel(cellModel(cell), { order, pressRatio });
  known.set(key, kernel);
  return kernel;
}

/** One cell at rest. */
export interface Seated {
  /** mm, in the order of `cellModel`. */
  readonly gap: Float64Array;
  /** x and y (mm) and turn (rad) of each body; `null` where they are not at hand. */
  readonly pose: Float64Array | null;
}

/**
 * Brings one cell with the given elementary errors (rad and mm) to rest.
 *
 * @throws SeatingError when the pieces find no rest.
 */
export function seatOne(
  cell: Cell,
  errors: Float64Array,
  { order, pressRatio }: { readonly order: Order; readonly pressRatio: number },
): Seated {
  const kernel = keptKernel(cell, order, pressRatio);
  kernel.drawsOf(0).set(errors);
  kernel.seat(1);
  const gap = cellModel(cell).seating.weight.map((_, probe) => kernel.gap(0, probe));
  return { gap, pose: kernel.pose(0) };
}
