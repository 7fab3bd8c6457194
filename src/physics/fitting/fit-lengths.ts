import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import { rounded } from "../../core/text.js";
import type { Cell } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import { type CellModel, modelOf } from "../predict/cell-model.js";
import { type EquilibriumOptions, solveEquilibrium } from "../predict/equilibrium.js";
import { type CellPrediction, predictCell, requireSensibleErrors } from "../predict/predict-cell.js";
import { PRESS_RATIO } from "../seating/seating-model.js";
import { type FittingStep, fittingPlan } from "./fitting-plan.js";
import {
  deepestPress,
  firstOffset,
  furthestTrim,
  meanGap,
  nominalTrim,
  TrimSearch,
  type TrimState,
} from "./trim-search.js";

/** How one group of pieces was fitted. */
export interface FittedGroup {
  /** `hinge-1 and hinge-2`. */
  readonly name: string;
  readonly pieces: readonly string[];
  /** Change of length at which the press of its joints equals the snug limit, mm: − has to be cut off, + is missing. */
  readonly wanted: number;
  /** The change that was made, mm: `wanted`, or 0 if the pieces are too short and stay as cut. */
  readonly offset: number;
  /** Deepest press of its joints while it was fitted, mm. */
  readonly press: number;
  /**
   * `fitted`: the press equals the snug limit. `jumped`: the press passes the limit at a jump, where pieces snap into another position; they are left just short of the jump.
   * `too short`: as cut, the group presses less than the snug limit, and it is left as it is.
   */
  readonly status: "fitted" | "jumped" | "too short";
  /** Number of offsets that were tried. */
  readonly rounds: number;
}

/** A cell whose pieces were fitted by trial. */
export interface FittedLengths {
  /** The error vector with the offsets added, rad and mm in the layout of `errorLayout`. */
  readonly errors: Float64Array;
  /** The groups in the order of fitting. */
  readonly groups: readonly FittedGroup[];
}

/** How pieces are fitted by trial. */
export interface FitOptions extends EquilibriumOptions {
  /** Press at which a piece just goes in, mm, > 0. */
  readonly snug: number;
  /** Whether pieces start long enough (default), so that all can be fitted; if false, they start as cut and can only be shortened. */
  readonly startsLong?: boolean;
}

/**
 * Trims (or lengthens) the pieces of a cell, group by group, until the deepest press of each group's joints equals the snug limit.
 *
 * @param errors errors of the pieces as cut, rad and mm in the layout of `errorLayout`.
 * @param plan the cell's fitting plan; pass it if many cells are fitted, so that it is made only once.
 * @throws UserError (code "cell") when the cell has no order of fitting: a bench.
 * @throws UserError (code "cutting-error") when the snug limit is not greater than zero, or a group presses too much or too little at every length.
 * @throws UserError (code "seating") when the pieces find no equilibrium.
 */
export function fitLengths(
  model: CellModel,
  errors: Float64Array,
  options: FitOptions,
  plan: readonly FittingStep[] = fittingPlan(model),
): FittedLengths {
  requireSnug(options.snug);
  const fitted = errors.slice();
  const groups = plan.map((step) => fitGroup(model.cell, step, fitted, options));
  return { errors: fitted, groups };
}

/** @throws UserError (code "cutting-error") */
export function requireSnug(snug: number): void {
  if (snug > 0 && Number.isFinite(snug)) return;
  throw new UserError(
    "cutting-error",
    `Pieces fitted by trial need a snug limit greater than zero; it is ${rounded(snug)} mm. Even pieces that fit press a little, so none could be fitted to no press at all. Write 0.02 mm, or what your hands call snug.`,
    { key: ["limits", "snug"] },
  );
}

/** Fits one group and adds its offset to `errors`. */
function fitGroup(cell: Cell, step: FittingStep, errors: Float64Array, options: FitOptions): FittedGroup {
  const { group, trimmed, trimmedHere } = step;
  const { snug, startsLong = true, pressRatio = PRESS_RATIO } = options;
  const here = Float64Array.from(step.from, (place) => (place < 0 ? 0 : at(errors, place)));
  const gapsAt = (offset: number): Float64Array => {
    const tried = here.slice();
    for (const place of trimmedHere) tried[place]! += offset;
    return solveEquilibrium(step.model, tried, options).rest.gap;
  };
  const search = new TrimSearch();
  search.begin(snug, firstOffset(step, errors), nominalTrim(step, pressRatio), furthestTrim(cell, step));
  let press = 0;
  while (search.state === "searching") {
    const gap = gapsAt(search.offset);
    press = deepestPress(gap, step);
    search.tell(press, meanGap(gap, step));
  }
  const { state, offset: wanted, rounds } = search;
  if (state !== "fitted" && state !== "jumped") throw unfitted(group.name, state, snug);
  const tooShort = wanted > 0 && !startsLong;
  const offset = tooShort ? 0 : wanted;
  if (state === "jumped" || tooShort) press = deepestPress(gapsAt(offset), step);
  for (const place of trimmed) errors[place]! += offset;
  const pieces = group.pieces.map((body) => at(cell.pieces, body).name);
  const status = tooShort ? "too short" : state;
  return { name: group.name, pieces, wanted, offset, press, status, rounds };
}

/** The error that states why a group cannot be fitted. */
export function unfitted(name: string, state: TrimState, snug: number): UserError {
  const why =
    state === "never loose"
      ? `however much comes off, it presses more than the snug limit of ${rounded(snug)} mm`
      : `however long it is, it does not press by the snug limit of ${rounded(snug)} mm`;
  return new UserError(
    "cutting-error",
    `The errors are too large: ${name} cannot be fitted by trial, for ${why}. Look for a value in the wrong unit or with a slipped decimal point.`,
  );
}

/** Prediction of a cell whose pieces were fitted by trial. Its first-order difference compares the cell fitted and seated in first order with the cell fitted and seated in exact order. */
export interface FittedPrediction extends CellPrediction, FittedLengths {}

/**
 * Fits a cell's pieces by trial, and predicts the gaps that remain.
 *
 * @param errors errors of the pieces as cut, before any was fitted (rad and mm, layout of `errorLayout`).
 * @throws UserError (code "seating") when the pieces find no equilibrium.
 * @throws UserError (code "cutting-error") when the errors are so large that faces no longer meet or a group cannot be fitted, or the snug limit is not greater than zero.
 * @example
 * const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
 * predictFitted(cell, noErrors(cell), { snug: 0.02 }).widestGap < 1e-9 // true
 */
export function predictFitted(
  of: Cell | CellModel,
  errors: Float64Array,
  options: FitOptions,
  plan?: readonly FittingStep[],
): FittedPrediction {
  const model = modelOf(of);
  requireSensibleErrors(model.cell, errors);
  const steps = plan ?? fittingPlan(model);
  const fitted = (["first", "exact"] as const).map((order) => {
    const lengths = fitLengths(model, errors, { ...options, order }, steps);
    return { ...lengths, ...predictCell(model, lengths.errors, { ...options, order }) };
  });
  const [first, exact] = fitted as [FittedPrediction, FittedPrediction];
  const firstOrderDifference = first.probes.reduce(
    (most, { gap }, i) => Math.max(most, Math.abs(gap - at(exact.probes, i).gap)),
    0,
  );
  return { ...(options.order === "first" ? first : exact), firstOrderDifference };
}

/** A cell of the job as it is made: as cut, or with its pieces fitted by trial. */
export interface AsMade {
  /** The error vector of the finished cell. */
  readonly errors: Float64Array;
  readonly prediction: CellPrediction;
  /** How the groups of pieces were fitted, in the order of fitting; `null` if the job uses pieces as cut. */
  readonly groups: readonly FittedGroup[] | null;
}

/**
 * Predicts a cell made in the way that the job states.
 *
 * @param errors errors of the pieces as cut (layout of `errorLayout`).
 * @param of the cell, or its model if it is predicted many times.
 * @param startsLong whether pieces that are too short as cut are assumed to be long enough; default true.
 * @throws UserError (code "cutting-error") when the errors are so large that faces no longer meet or pieces cannot be fitted.
 * @throws UserError (code "seating") when the pieces find no equilibrium.
 */
export function predictAsMade(
  job: Pick<Job, "lengths" | "limits" | "order" | "pressRatio">,
  of: Cell | CellModel,
  errors: Float64Array,
  startsLong = true,
  plan?: readonly FittingStep[],
): AsMade {
  const { order, pressRatio } = job;
  if (job.lengths === "as-cut")
    return { errors, prediction: predictCell(of, errors, { order, pressRatio }), groups: null };
  const fit = predictFitted(of, errors, { order, pressRatio, snug: job.limits.snug, startsLong }, plan);
  return { errors: fit.errors, prediction: fit, groups: fit.groups };
}
