import type { CellModel } from "../../predict/cell-model.js";
import { createKernel, type KernelOptions, type SeatingKernel } from "../create-kernel.js";
import { FittedKernel, type Fitting } from "./fitted-kernel.js";

/** What seats many trials: cells as they were cut, or with their pieces fitted by trial. */
export type CellSeater = Pick<
  SeatingKernel,
  | "model"
  | "order"
  | "inputs"
  | "batchTrials"
  | "drawsOf"
  | "seat"
  | "worstGap"
  | "worstPress"
  | "gap"
  | "stragglers"
>;

/** How many cells are seated: those of a kernel, and how pieces are fitted. */
export interface SeaterOptions extends KernelOptions {
  /** How pieces are fitted by trial; without it, cells are as cut. */
  readonly fitting?: Fitting;
}

/**
 * Code that seats many cells of one shape: as cut, or fitted by trial where `fitting` is given.
 *
 * @throws SeatingError for a press ratio that is not greater than zero, or inputs that do not fit the cell.
 * @throws PredictError when pieces are to be fitted to a snug limit that is not greater than zero.
 */
export function createSeater(model: CellModel, { fitting, ...kernel }: SeaterOptions): CellSeater {
  return fitting ? new FittedKernel(model, fitting, kernel) : createKernel(model, kernel);
}
