import { errorLayout, noErrors } from "../cutting/error-layout.js";
import { canRack, rackedGrid, smallOpening } from "../cutting/grid-directions.js";
import { setUpByGroup, shopSources, sourceMatrix } from "../cutting/sources.js";
import type { Cell } from "../lattice/cell.js";
import { compileCell } from "../lattice/compile-cell.js";
import { type CellPrediction, predictCell } from "../predict/predict-cell.js";
import type { PlayJob } from "./play-job.js";
import { playShop } from "./sliders.js";

/** How far each piece has been trimmed at its end, mm; what is absent has not been. */
export type Trims = Readonly<Record<string, number>>;

/** A job's cell, ready to be put together with any errors. */
export interface PlayCell {
  readonly job: PlayJob;
  readonly cell: Cell;
  /** Change of each elementary error by each slider (rad or mm), in the sliders' order. */
  readonly directions: readonly Float64Array[];
}

/** A cell as its sliders and trims have it. */
export interface Played {
  readonly errors: Float64Array;
  readonly prediction: CellPrediction;
}

export function playCell(job: PlayJob): PlayCell {
  const cell = compileCell(job.arrangement);
  const shop = playShop(job);
  const columns = shopSources(shop).length;
  const matrix = sourceMatrix(cell, shop, setUpByGroup(shop));
  const bySource = Array.from({ length: columns }, (_, c) =>
    noErrors(cell).map((_, row) => matrix[row * columns + c]!),
  );
  return {
    job,
    cell,
    directions: [...bySource, ...(canRack(cell) ? [rackedGrid(cell)] : []), smallOpening(cell)],
  };
}

/**
 * The cell with every slider at a size (rad or mm, in the sliders' order) and its pieces trimmed, in exact order.
 *
 * @throws PredictError, SeatingError when the errors are too much for a cell.
 */
export function play(
  { job, cell, directions }: PlayCell,
  sizes: readonly number[],
  trims: Trims = {},
): Played {
  const errors = noErrors(cell);
  for (const [k, direction] of directions.entries()) {
    for (let e = 0; e < errors.length; e++) errors[e]! += (sizes[k] ?? 0) * direction[e]!;
  }
  const { indexOf } = errorLayout(cell);
  for (const { name, cuts } of cell.pieces) {
    for (const { face, end } of cuts) {
      if (end === 1) errors[indexOf("axial", name, face)]! -= trims[name] ?? 0;
    }
  }
  return { errors, prediction: predictCell(cell, errors, { order: "exact", pressRatio: job.pressRatio }) };
}
