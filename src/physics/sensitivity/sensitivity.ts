import { at } from "../../core/numeric/dense.js";
import type { Cell } from "../../model/cell/cell.js";
import { type CellModel, cellModel, modelOf } from "../predict/cell-model.js";
import { solveWithSlopes } from "../predict/equilibrium.js";
import { predictCell } from "../predict/predict-cell.js";
import { type ErrorDirection, errorDirections } from "./error-directions.js";
import { differentiateFaceMoves, type FaceMoveSlopes, slopesBySymbols } from "./symbolic-slopes.js";

/** Effect of one sense (sign) of an error on a seated cell, per rad or per mm of the error. */
export interface Sensitivity {
  readonly source: ErrorDirection;
  readonly sense: 1 | -1;
  /** The shop's word for the sense, such as `sharp`. */
  readonly word: string;
  /** Change of each gap, mm, in the order of the cell's probes: by symbolic derivatives, by the model's derivatives, by finite differences. */
  readonly bySymbols: Float64Array;
  readonly byModel: Float64Array;
  readonly bySteps: Float64Array;
  /** Widest gap and press by the model, mm, ≥ 0, and the location of the gap; `null` if none opens. */
  readonly widestGap: number;
  readonly deepestPress: number;
  readonly widest: { readonly joint: string; readonly at: "toe" | "heel" } | null;
  /** Largest difference of any gap between the three ways, mm. */
  readonly difference: number;
}

/** Gaps that differ by less than this share count as equal. */
const ALIKE = 1e-6;
/** A gap below this, in mm per rad or per mm of error, counts as closed. */
const CLOSED = 1e-9;

/**
 * The effect of every kind of error on a cell, in both senses, computed in three ways.
 *
 * @example
 * const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
 * sensitivityTable(cell).length >= errorDirections(cell).length // true
 */
export function sensitivityTable(
  cell: Cell,
  sources: readonly ErrorDirection[] = errorDirections(cell),
): Sensitivity[] {
  const [model, slopesOf] = [cellModel(cell), differentiateFaceMoves()];
  return sources.flatMap((source) =>
    ([1, -1] as const).map((sense) => sensitivity(model, source, sense, slopesOf)),
  );
}

function sensitivity(
  model: CellModel,
  source: ErrorDirection,
  sense: 1 | -1,
  slopesOf: FaceMoveSlopes,
): Sensitivity {
  const { cell } = model;
  const errors = source.errors.map((value) => sense * value);
  const bySymbols = slopesBySymbols(cell, errors, slopesOf);
  const byModel = slopesByModel(model, errors);
  const bySteps = slopesBySteps(model, errors);
  const widestGap = Math.max(0, ...byModel);
  // The first of several equal gaps is reported, whatever their last digits.
  const widest = byModel.findIndex((gap) => gap >= widestGap * (1 - ALIKE));
  return {
    source,
    sense,
    bySymbols,
    byModel,
    bySteps,
    word: sense === 1 ? source.plus : source.minus,
    widestGap,
    deepestPress: Math.max(0, ...byModel.map((gap) => -gap)),
    widest:
      widestGap < CLOSED
        ? null
        : { joint: at(cell.probes, widest).joint.name, at: at(cell.probes, widest).at },
    difference: byModel.reduce(
      (most, gap, i) => Math.max(most, Math.abs(gap - at(bySymbols, i)), Math.abs(gap - at(bySteps, i))),
      0,
    ),
  };
}

/** Size of the error at which the signs of the gaps are read, rad or mm: in first order the signs are the same at every size. */
const SIZE = 1e-3;

/**
 * Change of each gap (in the order of the cell's probes) per unit of an error, from the model's own derivatives at first order.
 *
 * @param errors layout of `errorLayout`, for a size of one; the slope holds for this sense of it.
 * @example
 * const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
 * const [{ errors }] = errorDirections(cell);
 * slopesByModel(cell, errors).length === predictCell(cell, noErrors(cell)).probes.length // true
 */
export function slopesByModel(of: Cell | CellModel, errors: Float64Array): Float64Array {
  const model = modelOf(of);
  const { slopes } = solveWithSlopes(
    model,
    errors.map((value) => SIZE * value),
    { order: "first" },
  );
  const columns = errors.length;
  return Float64Array.from({ length: model.readProbes }, (_, i) =>
    errors.reduce((sum, value, e) => sum + value * at(slopes, i * columns + e), 0),
  );
}

/** Step of a one-sided difference, rad or mm. Its truncation error is of the order of the squared step, and the solver's error is 1e-10 mm divided by the step. */
export const STEP = 1e-4;

/**
 * Change of each gap (in the order of the cell's probes) per unit of an error, from full predictions in exact order at one step and at two steps:
 * (4·g(h) − g(2h)) / 2h, for g(0) = 0.
 *
 * @param errors layout of `errorLayout`, for a size of one; the slope holds for this sense of it.
 * @example
 * const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
 * const [{ errors }] = errorDirections(cell);
 * Math.abs(slopesBySteps(cell, errors)[0] - slopesByModel(cell, errors)[0]) < 1e-3 // true
 */
export function slopesBySteps(of: Cell | CellModel, errors: Float64Array, step: number = STEP): Float64Array {
  const model = modelOf(of);
  const gapsAt = (size: number): number[] =>
    predictCell(
      model,
      errors.map((value) => size * value),
    ).probes.map(({ gap }) => gap);
  const [one, two] = [gapsAt(step), gapsAt(2 * step)];
  return Float64Array.from(one, (gap, i) => (4 * gap - at(two, i)) / (2 * step));
}

/** A cell with one kind of error at one size. */
export interface WorstAt {
  /** Size of the error, in its own unit, rad or mm. */
  readonly size: number;
  /** Widest gap and press, mm, ≥ 0, in exact order and in first order. */
  readonly widestGap: number;
  readonly deepestPress: number;
  readonly firstOrderGap: number;
  readonly firstOrderPress: number;
  /** Largest difference of any gap between the orders, mm. */
  readonly firstOrderDifference: number;
}

/**
 * The widest gap and press of a cell as one kind of error grows, in both orders; `sizes` are in the error's own unit, rad or mm.
 *
 * @example
 * const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
 * worstAlong(cell, errorDirections(cell)[0], [0])[0].widestGap < 1e-9 // true
 */
export function worstAlong(cell: Cell, { errors }: ErrorDirection, sizes: readonly number[]): WorstAt[] {
  const model = cellModel(cell);
  return sizes.map((size) => {
    const sized = errors.map((value) => size * value);
    const exact = predictCell(model, sized);
    const first = predictCell(model, sized, { order: "first" });
    return {
      size,
      widestGap: exact.widestGap,
      deepestPress: exact.deepestPress,
      firstOrderGap: first.widestGap,
      firstOrderPress: first.deepestPress,
      firstOrderDifference: exact.firstOrderDifference,
    };
  });
}
