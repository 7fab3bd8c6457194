import { errorLayout } from "../cutting/error-layout.js";
import type { FaceStates } from "../cutting/face-states.js";
import { seatedResponses, seatedStates } from "../cutting/seated-faces.js";
import { readSigns, springs } from "../seating/energy.js";
import { evaluateGaps, newEvaluation } from "../seating/evaluate-gaps.js";
import { gapSensitivity } from "../seating/gap-sensitivity.js";
import { restExact } from "../seating/rest-exact.js";
import { restLinear } from "../seating/rest-linear.js";
import { PRESS_RATIO, type Rest } from "../seating/seating-model.js";
import type { CellModel } from "./cell-model.js";

/** `first`: gaps linear in errors and poses. `exact`: the faces' true places. */
export type Order = "first" | "exact";

/** How the pieces of a cell are brought to rest. */
export interface SettleOptions {
  /** Default `exact`. */
  readonly order?: Order;
  /** How many times stiffer a face is pressed than open; default {@link PRESS_RATIO}. */
  readonly pressRatio?: number;
}

/** First-order gaps before any piece has moved, mm. */
export function freeGaps({ direct, seating }: CellModel, errors: Float64Array): Float64Array {
  const columns = errors.length;
  return seating.weight.map((_, i) => {
    let gap = 0;
    for (let c = 0; c < columns; c++) gap += direct[i * columns + c]! * errors[c]!;
    return gap;
  });
}

/** Where a cell's pieces come to rest under an error vector; nothing is checked but the rest itself. */
export function settle(
  model: CellModel,
  errors: Float64Array,
  { order = "exact", pressRatio = PRESS_RATIO }: SettleOptions = {},
): { first: Rest; rest: Rest; states: FaceStates | null } {
  const first = restLinear(model.seating, model.nominal, freeGaps(model, errors), pressRatio);
  if (order === "first") return { first, rest: first, states: null };
  const states = seatedStates(model.cell, errors);
  const rest = restExact(model.seating, states.angle, states.offset, first.pose, pressRatio);
  return { first, rest, states };
}

/** Gaps at rest, and the derivatives of the wanted ones by every elementary error, row-major (wanted probe, error). */
export interface GapsWithSlopes {
  readonly wanted: readonly number[];
  readonly rest: Rest;
  readonly slopes: Float64Array;
}

/**
 * The gaps at rest and how each answers to each elementary error, the pieces settling anew (implicit differentiation).
 * At a kink, where a gap is zero, the derivatives are those of the side that the sign of the gap names.
 */
export function settleWithSlopes(
  model: CellModel,
  errors: Float64Array,
  options: SettleOptions & {
    /** Probes whose derivatives are wanted, chosen when the gaps are known; default all. */
    readonly wanted?: (gap: Float64Array) => readonly number[];
  } = {},
): GapsWithSlopes {
  const { rest, states } = settle(model, errors, options);
  const { seating, cell } = model;
  const pressed = new Uint8Array(rest.gap.length);
  readSigns(rest.gap, pressed);
  const spring = springs(seating, pressed, options.pressRatio ?? PRESS_RATIO);
  const at = newEvaluation(seating);
  if (states) evaluateGaps(seating, states.angle, states.offset, rest.pose, at);
  else {
    at.gap.set(rest.gap);
    at.moves.set(model.nominal.moves);
  }
  const responses = states
    ? seatedResponses(cell, errors).map(({ error, ...slope }) => ({ ...slope, column: error }))
    : model.responses;
  const columns = errorLayout(cell).entries.length;
  const wanted = options.wanted?.(rest.gap) ?? [...rest.gap.keys()];
  const slopes = gapSensitivity(seating, at, spring, responses, columns, states !== null, wanted);
  return { rest, wanted, slopes };
}
