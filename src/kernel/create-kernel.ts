import { errorLayout } from "../cutting/error-layout.js";
import type { CellModel } from "../predict/cell-model.js";
import type { Order } from "../lattice/cell.js";
import { PRESS_RATIO, SeatingError } from "../seating/seating-model.js";
import { errorsThemselves, type TrialInputs } from "./cell/trial-inputs.js";
import { SeatingKernel } from "./seating-kernel.js";
import type { EngineKind } from "./tape/engine.js";


/** How the cells of a kernel are seated. */
export interface KernelOptions {
  /** Default `first`. */
  readonly order?: Order;
  /** How many times stiffer a face is pressed than open, > 0; default {@link PRESS_RATIO}. */
  readonly pressRatio?: number;
  /** How the errors follow from what is drawn; by default a trial's draws are its error vector. */
  readonly inputs?: TrialInputs;
  /** Default WebAssembly where there is any; plain JavaScript gives the same bits. */
  readonly engine?: EngineKind;
}

/**
 * A kernel that seats many trials of one cell: its matrices are worked out, ordered for their zeros and written as straight-line code once.
 * Errors so large that faces no longer meet are not looked for; `predictCell` does that.
 *
 * @throws SeatingError for a press ratio that is not greater than zero, or inputs that do not fit the cell.
 */
export function createKernel(model: CellModel, options: KernelOptions = {}): SeatingKernel {
  const { order = "first", pressRatio = PRESS_RATIO, engine } = options;
  if (!(pressRatio > 0 && Number.isFinite(pressRatio))) {
    throw new SeatingError(`The press ratio must be a number greater than zero; it is ${pressRatio}.`);
  }
  const errors = errorLayout(model.cell).entries.length;
  const inputs = options.inputs ?? errorsThemselves(errors);
  if (inputs.mean.length !== errors || inputs.matrix.length !== errors * inputs.draws) {
    throw new SeatingError(
      `The inputs of ${model.cell.name} need a mean of ${errors} errors and a matrix of ${errors} × ${inputs.draws} numbers; they hold ${inputs.mean.length} and ${inputs.matrix.length}.`,
    );
  }
  const task = { model, order, pressRatio, inputs };
  return new SeatingKernel(engine ? { ...task, engine } : task);
}
