import { faceStates } from "../cutting/face-states.js";
import type { Cell } from "../lattice/cell.js";
import type { Rest } from "../seating/seating-model.js";
import { cellModel } from "./cell-model.js";
import { requireMeeting, requireSensibleErrors, slidApart } from "./require-meeting.js";
import { type Order, type SettleOptions, settle } from "./settle.js";

/** A gap read at one end of a joint, mm: positive = open, negative = pressed. */
export interface ProbeGap {
  /** `piece.face|mate`. */
  readonly joint: string;
  readonly at: "toe" | "heel";
  readonly gap: number;
}

/** How a cell's pieces lie, and what shows. */
export interface CellPrediction {
  readonly order: Order;
  readonly probes: readonly ProbeGap[];
  /** Largest opening, mm, ≥ 0. */
  readonly worstGap: number;
  /** Deepest overlap, mm, ≥ 0: beyond a few hundredths the cell will not close by hand. */
  readonly worstPress: number;
  /** Largest difference of any gap between first and exact order, mm. */
  readonly firstOrderDifference: number;
  /** Area of the openings along the joints, mm²: each joint's gap taken as running straight from toe to heel. */
  readonly openArea: number;
  /** Joints whose faces have slid past each other, by name: their gaps are those of the faces' lines. */
  readonly slid: readonly string[];
  readonly rest: Rest;
}

/**
 * Where the pieces of a cell come to rest under an error vector (lay-out of `errorLayout`), and the gaps left.
 *
 * @throws SeatingError when the pieces find no rest.
 * @throws PredictError when the errors are so large that faces no longer meet.
 */
export function predictCell(cell: Cell, errors: Float64Array, options: SettleOptions = {}): CellPrediction {
  const model = cellModel(cell);
  requireSensibleErrors(cell, errors);
  const { order = "exact" } = options;
  const { first, rest: exact } = settle(model, errors, { ...options, order: "exact" });
  const states = faceStates(cell, errors);
  requireMeeting(cell, states, exact.gap);
  const rest = order === "first" ? first : exact;
  const gaps = rest.gap.subarray(0, model.readProbes);
  return {
    order,
    probes: cell.joints.flatMap((joint, i): ProbeGap[] => [
      { joint: joint.name, at: "toe", gap: gaps[2 * i]! },
      { joint: joint.name, at: "heel", gap: gaps[2 * i + 1]! },
    ]),
    worstGap: gaps.reduce((worst, g) => Math.max(worst, g), 0),
    worstPress: gaps.reduce((worst, g) => Math.max(worst, -g), 0),
    firstOrderDifference: gaps.reduce((d, _, i) => Math.max(d, Math.abs(first.gap[i]! - exact.gap[i]!)), 0),
    openArea: cell.joints.reduce(
      (sum, joint, i) => sum + joint.length * openShare(gaps[2 * i]!, gaps[2 * i + 1]!),
      0,
    ),
    slid: slidApart(cell, states, rest.pose),
    rest,
  };
}

/** Mean of the open part of a gap that runs straight from `a` to `b`, mm. */
function openShare(a: number, b: number): number {
  if (a >= 0 && b >= 0) return (a + b) / 2;
  if (a <= 0 && b <= 0) return 0;
  const open = Math.max(a, b);
  return open ** 2 / (2 * Math.abs(a - b));
}
