import { faceStates } from "../cutting/face-states.js";
import type { Cell } from "../lattice/cell.js";
import { cellProbes, type PanelSide, readDepths } from "../lattice/cell-probes.js";
import type { Rest } from "../seating/seating-model.js";
import { cellModel } from "./cell-model.js";
import { requireMeeting, requireSensibleErrors, slidApart } from "./require-meeting.js";
import type { Order } from "../lattice/cell.js";
import { type SettleOptions, settle } from "./settle.js";

/** A gap read at one end of a joint, mm: positive = open, negative = pressed. */
export interface ProbeGap {
  /** `piece.face|mate`. */
  readonly joint: string;
  readonly at: "toe" | "heel";
  /** At the front or at the back of the panel, in a cell with a depth; else the gap is the same throughout. */
  readonly side?: PanelSide;
  /** mm; positive = open, negative = pressed. */
  readonly gap: number;
}

/** How a cell's pieces lie, and what shows. */
export interface CellPrediction {
  readonly order: Order;
  /** In the order of `cellProbes`: in a cell with a depth all at the front, then all at the back. */
  readonly probes: readonly ProbeGap[];
  /** Largest opening, mm, ≥ 0; front and back alike. */
  readonly worstGap: number;
  /** Deepest overlap, mm, ≥ 0: beyond a few hundredths the cell will not close by hand. */
  readonly worstPress: number;
  /** Largest difference of any gap between first and exact order, mm. */
  readonly firstOrderDifference: number;
  /** Area of the openings along the joints, mm²: each joint's gap taken as running straight from toe to heel. In a cell with a depth the mean of front and back. */
  readonly openArea: number;
  /** Joints whose faces have slid past each other, by name: their gaps are those of the faces' lines. */
  readonly slid: readonly string[];
  readonly rest: Rest;
}

/**
 * Where the pieces of a cell come to rest under an error vector (rad and mm, lay-out of `errorLayout`), and the gaps left.
 *
 * @throws SeatingError when the pieces find no rest.
 * @throws PredictError when the errors are so large that faces no longer meet.
 */
export function predictCell(cell: Cell, errors: Float64Array, options: SettleOptions = {}): CellPrediction {
  const model = cellModel(cell);
  requireSensibleErrors(cell, errors);
  const { order = "exact" } = options;
  const { first, rest: exact } = settle(model, errors, { ...options, order: "exact" });
  const atDepths = readDepths(cell).map((z) => faceStates(cell, errors, z));
  for (const states of atDepths) requireMeeting(cell, states, exact.gap);
  const rest = order === "first" ? first : exact;
  const gaps = rest.gap.subarray(0, model.readProbes);
  return {
    order,
    probes: cellProbes(cell).map(
      ({ joint, at, side }, i): ProbeGap => ({ joint: joint.name, at, ...(side && { side }), gap: gaps[i]! }),
    ),
    worstGap: gaps.reduce((worst, g) => Math.max(worst, g), 0),
    worstPress: gaps.reduce((worst, g) => Math.max(worst, -g), 0),
    firstOrderDifference: gaps.reduce((d, _, i) => Math.max(d, Math.abs(first.gap[i]! - exact.gap[i]!)), 0),
    openArea: openArea(cell, gaps) / atDepths.length,
    slid: [...new Set(atDepths.flatMap((states) => slidApart(cell, states, rest.pose)))],
    rest,
  };
}

/** Area of the openings along the joints, mm², front and back added up where both are read. */
function openArea(cell: Cell, gaps: Float64Array): number {
  let area = 0;
  for (const [i, { joint, at }] of cellProbes(cell).entries()) {
    if (at === "toe") area += joint.length * openShare(gaps[i]!, gaps[i + 1]!);
  }
  return area;
}

/** Mean of the open part of a gap that runs straight from `a` to `b`, mm. */
function openShare(a: number, b: number): number {
  if (a >= 0 && b >= 0) return (a + b) / 2;
  if (a <= 0 && b <= 0) return 0;
  const open = Math.max(a, b);
  return open ** 2 / (2 * Math.abs(a - b));
}
