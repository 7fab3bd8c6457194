import { UserError } from "../../core/errors.js";
import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import { acceptedRest, gradient, hessian, readSigns, SIGN_BAND, slopesOf, springs } from "./energy.js";
import {
  evaluateGaps,
  type GapEvaluation,
  newEvaluation,
  PRESS_RATIO,
  type Rest,
  type SeatingModel,
} from "./seating-model.js";

const MOST_STEPS = 200;
/** A step that changes no gap by more than this share of the largest free gap is within rounding: it is taken in full, because a line search cannot distinguish shares of it. */
const ROUNDING = 1e-12;

/** The nominal cell with its derivatives: the part of a model that first order needs, computed once. */
export function linearise(model: SeatingModel): GapEvaluation {
  const nominal = newEvaluation(model);
  evaluateGaps(model, model.faceAngle, model.faceOffset, new Float64Array(3 * model.bodies), nominal);
  return nominal;
}

/**
 * First order: the poses that minimise ½ Σ w·k(g)·g² with g = g₀ + G·q, k = 1 for g ≥ 0 and `pressRatio` for g < 0.
 * Semi-smooth Newton, started from the solution with every spring weak; an exact line search on the piecewise quadratic guarantees termination.
 *
 * @param free gaps before any piece has moved, mm.
 * @throws UserError (code "seating") when a piece is not held or the press ratio is not greater than zero.
 */
export function restLinear(
  model: SeatingModel,
  nominal: GapEvaluation,
  free: Float64Array,
  pressRatio: number = PRESS_RATIO,
): Rest {
  if (!(pressRatio > 0 && Number.isFinite(pressRatio))) {
    throw new UserError(
      "seating",
      `The press ratio must be a number greater than zero; it is ${pressRatio}.`,
    );
  }
  const { moves } = nominal;
  let pose: Float64Array = new Float64Array(3 * model.bodies);
  let gap = Float64Array.from(free);
  const pressed = new Uint8Array(free.length);
  const rounding = free.reduce((most, g) => Math.max(most, ROUNDING * Math.abs(g)), SIGN_BAND);
  for (let iterations = 1; iterations <= MOST_STEPS; iterations++) {
    const spring = springs(model, pressed, pressRatio);
    const step = newtonStep(model, { gap, moves }, spring, false);
    if (step === null) throw notHeld();
    const change = gapChange(model, moves, step);
    const still = change.every((c) => Math.abs(c) <= rounding);
    const share = iterations === 1 || still ? 1 : bestShare(gap, change, model.weight, pressRatio);
    pose = pose.map((q, i) => q + share * step[i]!);
    gap = gapsAfter(model, moves, free, pose);
    const changed = readSigns(gap, pressed);
    if (!changed && share === 1) {
      return acceptedRest(model, { gap, moves }, springs(model, pressed, pressRatio), pose, iterations);
    }
  }
  throw new UserError("seating", `The pieces found no rest in ${MOST_STEPS} steps at first order.`);
}

export const notHeld = (piece = "A piece"): UserError =>
  new UserError(
    "seating",
    `${piece} is not held: it can slide or turn without any joint opening or closing.`,
  );

/** Newton step on the energy; `null` if the Hessian is not positive definite. */
export function newtonStep(
  model: SeatingModel,
  at: GapEvaluation,
  spring: Float64Array,
  curved: boolean,
): Float64Array | null {
  const n = 3 * model.bodies;
  const matrix = hessian(model, at, spring, curved);
  if (!choleskyInPlace(matrix, n)) return null;
  const step = gradient(model, at, spring).map((f) => -f);
  choleskySolveInPlace(matrix, n, step);
  return step;
}

/** First-order change of every gap under a change of pose. */
export function gapChange(model: SeatingModel, moves: Float64Array, step: Float64Array): Float64Array {
  const slopes = new Float64Array(6);
  const place = new Int32Array(6);
  const change = new Float64Array(model.weight.length);
  for (let i = 0; i < change.length; i++) {
    const used = slopesOf(model, moves, i, slopes, place);
    for (let k = 0; k < used; k++) change[i]! += slopes[k]! * step[place[k]!]!;
  }
  return change;
}

function gapsAfter(
  model: SeatingModel,
  moves: Float64Array,
  free: Float64Array,
  pose: Float64Array,
): Float64Array<ArrayBuffer> {
  const change = gapChange(model, moves, pose);
  return Float64Array.from(free, (g, i) => g + change[i]!);
}

/**
 * The share α > 0 of a step that minimises the piecewise quadratic ½ Σ w·k(g)·g² along g + α·change: the root of its slope,
 * which increases and is linear between the shares where a gap changes sign. A root that equals 1 within rounding is returned as 1.
 */
function bestShare(
  gap: Float64Array,
  change: Float64Array,
  weight: Float64Array,
  pressRatio: number,
): number {
  const slopeAt = (share: number): number => {
    let slope = 0;
    for (let i = 0; i < gap.length; i++) {
      const g = gap[i]! + share * change[i]!;
      slope += weight[i]! * (g < 0 ? pressRatio : 1) * g * change[i]!;
    }
    return slope;
  };
  const turns = Array.from(gap, (g, i) => -g / change[i]!)
    .filter((share) => share > 0 && Number.isFinite(share))
    .sort((a, b) => a - b);
  let low = 0;
  let slopeLow = slopeAt(0);
  for (const high of [...turns, Number.POSITIVE_INFINITY]) {
    // Beyond the last sign change the slope is linear, so any second point on it is sufficient.
    const probe = high === Number.POSITIVE_INFINITY ? low + 1 : high;
    const slopeHigh = slopeAt(probe);
    if (slopeHigh >= 0 || high === Number.POSITIVE_INFINITY) {
      const root = slopeHigh === slopeLow ? probe : low - (slopeLow * (probe - low)) / (slopeHigh - slopeLow);
      return Math.abs(root - 1) < 1e-9 ? 1 : root;
    }
    low = high;
    slopeLow = slopeHigh;
  }
  return low;
}
