import { at } from "../../core/numeric/dense.js";
import type { Order } from "../../model/cell/cell.js";
import { readSigns, springs } from "../seating/energy.js";
import { gapSensitivity, type SlopesByFace, slopesByFace } from "../seating/gap-sensitivity.js";
import { restExact } from "../seating/rest-exact.js";
import { restLinear } from "../seating/rest-linear.js";
import {
  evaluateGaps,
  type GapEvaluation,
  newEvaluation,
  PRESS_RATIO,
  type Rest,
} from "../seating/seating-model.js";
import type { CellModel } from "./cell-model.js";
import { type FaceStates, seatedResponses, seatedStates } from "./face-states.js";

/** Options for the computation of a cell's equilibrium. */
export interface EquilibriumOptions {
  /** Order of the model; default `exact`. */
  readonly order?: Order;
  /** Ratio of the stiffness of a pressed face to that of an open one; default {@link PRESS_RATIO}. */
  readonly pressRatio?: number;
}

/** First-order gaps before any piece has moved, mm. */
export function freeGaps(model: CellModel, errors: Float64Array): Float64Array {
  const { direct, seating } = model;
  const columns = errors.length;
  return seating.weight.map((_, i) => {
    let gap = 0;
    for (let c = 0; c < columns; c++) gap += at(direct, i * columns + c) * at(errors, c);
    return gap;
  });
}

/** The equilibrium of a cell's pieces for an error vector; only the equilibrium itself is checked, not the errors or the joints. */
export function solveEquilibrium(
  model: CellModel,
  errors: Float64Array,
  { order = "exact", pressRatio = PRESS_RATIO }: EquilibriumOptions = {},
): { first: Rest; rest: Rest; states: FaceStates | null } {
  const first = restLinear(model.seating, model.nominal, freeGaps(model, errors), pressRatio);
  if (order === "first") return { first, rest: first, states: null };
  const states = seatedStates(model, errors);
  const rest = restExact(model.seating, states.angle, states.offset, first.pose, pressRatio);
  return { first, rest, states };
}

/** Gaps at equilibrium (mm), and the derivatives of the requested ones with respect to every elementary error, row-major (requested probe, error). */
export interface GapsWithSlopes {
  readonly wanted: readonly number[];
  readonly rest: Pick<Rest, "gap" | "pose">;
  readonly slopes: Float64Array;
}

/** Which gaps' derivatives are requested, and how the equilibrium is computed. */
export interface SlopeOptions extends EquilibriumOptions {
  /** Selects the probes whose derivatives are requested, once the gaps (mm) are known; default all. */
  readonly wanted?: (gap: Float64Array) => readonly number[];
}

/**
 * The gaps at equilibrium and their derivatives with respect to each elementary error, including the shift of the equilibrium (implicit differentiation).
 * At a kink, where a gap is zero, the derivatives are those of the side given by the sign of the gap.
 */
export function solveWithSlopes(
  model: CellModel,
  errors: Float64Array,
  options: SlopeOptions = {},
): GapsWithSlopes {
  const { rest, states } = solveEquilibrium(model, errors, options);
  if (states) return slopesAtPose(model, errors, states, rest.pose, options);
  const at = newEvaluation(model.seating);
  at.gap.set(rest.gap);
  at.moves.set(model.nominal.moves);
  return slopesAt({ model, at, pose: rest.pose, responses: model.responses, curved: false }, options);
}

/**
 * The same in exact order for pieces whose equilibrium is known to be at `pose`.
 *
 * @param states the faces of the cell with these errors: `seatedStates`.
 */
export function slopesAtPose(
  model: CellModel,
  errors: Float64Array,
  states: FaceStates,
  pose: Float64Array,
  options: SlopeOptions = {},
): GapsWithSlopes {
  const at = newEvaluation(model.seating);
  evaluateGaps(model.seating, states.angle, states.offset, pose, at);
  const responses = slopesByFace(model.seating, seatedResponses(model, errors));
  return slopesAt({ model, at, pose, responses, curved: true }, options);
}

interface AtRest {
  readonly model: CellModel;
  readonly at: GapEvaluation;
  readonly pose: Float64Array;
  readonly responses: SlopesByFace;
  readonly curved: boolean;
}

function slopesAt({ model, at, pose, responses, curved }: AtRest, options: SlopeOptions): GapsWithSlopes {
  const { seating, cell } = model;
  const pressed = new Uint8Array(at.gap.length);
  readSigns(at.gap, pressed);
  const spring = springs(seating, pressed, options.pressRatio ?? PRESS_RATIO);
  const columns = cell.errorEntries.length;
  const gap = at.gap.slice();
  const wanted = options.wanted?.(gap) ?? [...gap.keys()];
  const slopes = gapSensitivity(seating, at, spring, responses, columns, curved, wanted);
  return { rest: { gap, pose }, wanted, slopes };
}
