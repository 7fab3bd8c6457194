import { UserError } from "../../core/errors.js";
import {
  add,
  direction,
  distance,
  dot,
  faceSegments,
  halfPlaneThrough,
  type Segment,
  scale,
  sub,
  type Vec,
  vec,
} from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { rounded } from "../../core/text.js";
import { type Cell, type Order, type PanelSide, readDepths } from "../../model/cell/cell.js";
import { errorLayout, LARGEST_ANGLE_ERROR, noErrors } from "../../model/cell/cell-errors.js";
import { faceName } from "../../model/cell/face-id.js";
import type { Rest } from "../seating/seating-model.js";
import { type CellModel, modelOf } from "./cell-model.js";
import { type EquilibriumOptions, solveEquilibrium } from "./equilibrium.js";
import { type FaceStates, faceStates } from "./face-states.js";

/** A gap read at one end of a joint, mm: positive = open, negative = pressed. */
export interface ProbeGap {
  /** `piece.face|mate`. */
  readonly joint: string;
  readonly at: "toe" | "heel";
  /** Front or back of the panel, in a cell with a depth; otherwise undefined, because the gap is the same at every depth. */
  readonly side?: PanelSide;
  /** mm; positive = open, negative = pressed. */
  readonly gap: number;
}

/** Predicted equilibrium of a cell's pieces and the resulting gaps. */
export interface CellPrediction {
  readonly order: Order;
  /** In the order of the cell's probes: in a cell with a depth all at the front, then all at the back. */
  readonly probes: readonly ProbeGap[];
  /** Largest opening, mm, ≥ 0, over front and back. */
  readonly widestGap: number;
  /** Deepest overlap, mm, ≥ 0: beyond a few hundredths the cell will not close by hand. */
  readonly deepestPress: number;
  /** Largest difference of any gap between first and exact order, mm. */
  readonly firstOrderDifference: number;
  /** Area of the openings along the joints, mm²: each joint's gap is interpolated linearly from toe to heel. In a cell with a depth, the mean of front and back. */
  readonly openArea: number;
  /** Names of joints whose faces have slid past each other: their gaps are measured between the extended lines of the faces. */
  readonly slid: readonly string[];
  readonly rest: Rest;
}

/**
 * Computes the equilibrium of a cell's pieces for an error vector (rad and mm, layout of `errorLayout`), and the remaining gaps (mm).
 *
 * @param of the cell, or its model (`cellModel`) if it is predicted many times.
 * @throws UserError (code "seating") when the pieces find no equilibrium.
 * @throws UserError (code "cutting-error") when the errors are so large that faces no longer meet.
 * @example
 * const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
 * const short = asCutErrors(cell, { pieces: { "hinge-1": { cuts: { "start-left": { axial: -0.2 }, "start-right": { axial: -0.2 } } } } });
 * predictCell(cell, short).widestGap // 0.03942
 */
export function predictCell(
  of: Cell | CellModel,
  errors: Float64Array,
  options: EquilibriumOptions = {},
): CellPrediction {
  const model = modelOf(of);
  const { cell } = model;
  requireSensibleErrors(cell, errors);
  const { order = "exact" } = options;
  const { first, rest: exact } = solveEquilibrium(model, errors, { ...options, order: "exact" });
  const atDepths = readDepths(cell).map((z) => faceStates(cell, errors, z));
  for (const states of atDepths) requireMeeting(cell, states, exact.gap);
  const rest = order === "first" ? first : exact;
  const gaps = rest.gap.subarray(0, model.readProbes);
  return {
    order,
    probes: cell.probes.map(
      ({ joint, at, side }, i): ProbeGap => ({ joint: joint.name, at, ...(side && { side }), gap: gaps[i]! }),
    ),
    widestGap: gaps.reduce((worst, g) => Math.max(worst, g), 0),
    deepestPress: gaps.reduce((worst, g) => Math.max(worst, -g), 0),
    firstOrderDifference: gaps.reduce(
      (d, _, i) => Math.max(d, Math.abs(at(first.gap, i) - at(exact.gap, i))),
      0,
    ),
    openArea: openArea(cell, gaps) / atDepths.length,
    slid: [...new Set(atDepths.flatMap((states) => slidApart(cell, states, rest.pose)))],
    rest,
  };
}

/** Area of the openings along the joints, mm²; the sum over front and back if both are read. */
function openArea(cell: Cell, gaps: Float64Array): number {
  let area = 0;
  for (const [i, { joint, at }] of cell.probes.entries()) {
    if (at === "toe") area += joint.length * openShare(gaps[i]!, gaps[i + 1]!);
  }
  return area;
}

/** Mean of the open part of a gap that varies linearly from `a` to `b`, mm. */
function openShare(a: number, b: number): number {
  if (a >= 0 && b >= 0) return (a + b) / 2;
  if (a <= 0 && b <= 0) return 0;
  const open = Math.max(a, b);
  return open ** 2 / (2 * Math.abs(a - b));
}

/** A segment of a face, given by its two ends, mm. */
export interface Edge {
  readonly from: Vec;
  readonly to: Vec;
}

/** Outlines of a cell at equilibrium, with every displacement from the nominal position multiplied by `magnification`; mm in the cell's axes. */
export interface CellOutline {
  readonly magnification: number;
  /** Largest displacement of any end of a first-named face before magnification, mm. */
  readonly largestMove: number;
  /** Corners of each piece, counter-clockwise. */
  readonly pieces: readonly { readonly name: string; readonly corners: readonly Vec[] }[];
  /** The line of each wall; `normal` points into the opening (nominal). */
  readonly walls: readonly (Edge & { readonly name: string; readonly normal: Vec })[];
  /** The two faces of each joint, in the order of the cell's joints. */
  readonly joints: readonly { readonly name: string; readonly first: Edge; readonly mate: Edge }[];
}

/**
 * The outlines of pieces and walls: nominal + magnification × (true − nominal), corner by corner.
 *
 * @param pose x, y (mm) and turn (rad) of each piece at rest.
 * @param magnification ≥ 0; 1 gives the true position, 0 the nominal one.
 * @param z distance from mid-depth at which the outlines are taken, mm, towards the viewer +; a cell without a depth is the same throughout.
 * @throws UserError (code "cutting-error") when a face of the nominal cell vanishes because of the errors.
 */
export function cellOutline(
  cell: Cell,
  errors: Float64Array,
  pose: Float64Array,
  magnification: number,
  z = 0,
): CellOutline {
  const nominal = currentSegments(cell, faceStates(cell, noErrors(cell)), new Float64Array(pose.length));
  const actual = currentSegments(cell, faceStates(cell, errors, z), pose);
  const moved = (from: Vec, to: Vec): Vec => add(from, scale(sub(to, from), magnification));
  const edges = cell.faces.map((face, i): Edge | null => {
    const [before, after] = [nominal[i], actual[i]];
    if (!isThere(before) || face.kind === "pin") return null;
    if (!isThere(after))
      throw new UserError("cutting-error", `The errors are too large: the face ${face.name} vanishes.`);
    return { from: moved(before.from, after.from), to: moved(before.to, after.to) };
  });
  return {
    magnification,
    pieces: cell.pieces.map(({ name }, body) => ({ name, corners: cornersOf(cell, body, edges) })),
    walls: cell.walls.map(({ name, normal }, i) => ({
      name,
      normal: direction(normal),
      ...present(edges, i),
    })),
    joints: cell.joints.map(({ name, first, mate }) => ({
      name,
      first: present(edges, first),
      mate: present(edges, mate),
    })),
    largestMove: Math.max(
      ...cell.joints.flatMap(({ first: i }) => [
        distance(present(nominal, i).from, present(actual, i).from),
        distance(present(nominal, i).to, present(actual, i).to),
      ]),
    ),
  };
}

/** The face at an index where it is known not to have vanished. */
function present<T>(faces: readonly (T | null)[], i: number): T {
  const face = at(faces, i);
  if (face === null) throw new RangeError(`Face ${i} is not there.`);
  return face;
}

const isThere = (segment: Segment | null | undefined): segment is Segment => segment != null;

/** A piece's faces in the order of their nominal directions: each begins where the one before it ends. */
function cornersOf(cell: Cell, body: number, edges: readonly (Edge | null)[]): Vec[] {
  const turn = (angle: number): number => Math.atan2(Math.sin(angle), Math.cos(angle));
  return [...cell.faces.entries()]
    .filter(([i, face]) => face.body === body && edges[i])
    .sort(([, a], [, b]) => turn(a.angle) - turn(b.angle))
    .map(([i]) => present(edges, i).from);
}

/**
 * Rejects an error vector that is impossible for a cell: the wrong number of values, a value that is not a number, a thickness error as large as the strip, an angle error (rad) beyond {@link LARGEST_ANGLE_ERROR}.
 *
 * @throws UserError (code "cutting-error")
 */
export function requireSensibleErrors(cell: Cell, errors: Float64Array): void {
  const { entries } = errorLayout(cell);
  if (errors.length !== entries.length) {
    throw new UserError(
      "cutting-error",
      `An error vector of ${cell.name} holds ${entries.length} values; this one holds ${errors.length}.`,
    );
  }
  for (const [i, { kind, owner, face }] of entries.entries()) {
    const value = at(errors, i);
    const what = faceName({ owner, face });
    if (!Number.isFinite(value))
      throw new UserError("cutting-error", `The ${kind} error of ${what} is not a number.`);
    if ((kind === "angle" || kind === "lean" || kind === "turn") && Math.abs(value) > LARGEST_ANGLE_ERROR) {
      throw new UserError(
        "cutting-error",
        `The ${kind} error of ${what} is ${degrees(value)}°; the model speaks of at most 10°. Give the error, not the angle itself.`,
      );
    }
    if (kind === "thickness" && Math.abs(value) >= cell.strip) {
      throw new UserError(
        "cutting-error",
        `The thickness error of ${what} is no smaller than the strip: ${rounded(value)} mm on a strip of ${rounded(cell.strip)} mm. Give the difference from the strip, not the thickness.`,
      );
    }
  }
}

/**
 * Rejects a seated cell, in exact order, whose faces no longer meet at some depth where it is read.
 *
 * @param gap exact gaps, mm, in the order of the cell's probes.
 * @throws UserError (code "cutting-error")
 */
export function requireFacesMeet(cell: Cell, errors: Float64Array, gap: Float64Array): void {
  for (const z of readDepths(cell)) requireMeeting(cell, faceStates(cell, errors, z), gap);
}

/**
 * Rejects a cell whose joints no longer exist: a cut that vanishes, a joint whose faces as cut no longer lie side by side, or faces that at equilibrium are further apart
 * (or overlap more deeply) than half the strip's thickness.
 *
 * @param states the faces at one distance from mid-depth.
 * @param gap the gaps at equilibrium in the order of the cell's probes, mm.
 * @throws UserError (code "cutting-error")
 */
export function requireMeeting(cell: Cell, states: FaceStates, gap: Float64Array): void {
  const segments = currentSegments(cell, states, new Float64Array(3 * cell.pieces.length));
  for (const { first, mate } of cell.joints) {
    for (const face of [first, mate]) {
      if (segments[face]) continue;
      throw new UserError(
        "cutting-error",
        `The errors are too large: the face ${at(cell.faces, face).name} vanishes. ${LOOK_FOR}`,
      );
    }
  }
  const apart = new Uint8Array(cell.joints.length);
  for (const [i, { index }] of cell.probes.entries()) {
    if (Math.abs(at(gap, i)) > MOST_APART * cell.strip) apart[index] = 1;
  }
  for (const [i, { name }] of cell.joints.entries()) {
    if (jointOverlap(cell, segments, i) > 0 && !apart[i]) continue;
    throw new UserError(
      "cutting-error",
      `The errors are too large: in ${name} the faces no longer meet. ${LOOK_FOR}`,
    );
  }
}

/**
 * Joints whose faces have slid past each other at equilibrium: in slender cells the star of hinges and key floats sideways, and a gap read
 * at the probes' fixed places then differs from what a hand would find.
 */
export function slidApart(cell: Cell, states: FaceStates, pose: Float64Array): string[] {
  const segments = currentSegments(cell, states, pose);
  return cell.joints.flatMap(({ name }, i) => (jointOverlap(cell, segments, i) > 0 ? [] : [name]));
}

/** Length over which a joint's faces lie side by side, mm; ≤ 0 if they have slid past each other. */
function jointOverlap(cell: Cell, segments: readonly (Segment | null)[], joint: number): number {
  const [[a0, a1], [b0, b1]] = jointSpans(cell, segments, joint);
  return Math.min(a1, b1) - Math.max(a0, b0);
}

/** Start and end of each of a joint's two faces, measured along the joint, mm. */
export function jointSpans(
  cell: Cell,
  segments: readonly (Segment | null)[],
  joint: number,
): [[number, number], [number, number]] {
  const { first, mate, length, toe, heel } = at(cell.joints, joint);
  const along = vec((heel.x - toe.x) / length, (heel.y - toe.y) / length);
  return [spanAlong(present(segments, first), along), spanAlong(present(segments, mate), along)];
}

/** Faces further apart than this share of the strip's thickness no longer form a joint. */
export const MOST_APART = 0.5;
const LOOK_FOR = "Look for a value in the wrong unit or with a slipped decimal point.";

const degrees = (angle: number): string => ((angle * 180) / Math.PI).toFixed(2);

function spanAlong({ from, to }: Segment, along: { x: number; y: number }): [number, number] {
  const a = dot(along, from);
  const b = dot(along, to);
  return a < b ? [a, b] : [b, a];
}

/** The segment of every face with its errors, on pieces at their poses. */
export function currentSegments(cell: Cell, states: FaceStates, pose: Float64Array): (Segment | null)[] {
  const planeOf = (index: number) => {
    const face = at(cell.faces, index);
    const moved = face.body < 0 ? [0, 0, 0] : pose.subarray(3 * face.body, 3 * face.body + 3);
    const angle = at(states.angle, index) + at(moved, 2);
    const origin = add(face.origin, vec(at(moved, 0), at(moved, 1)));
    return halfPlaneThrough(angle, add(origin, scale(direction(angle), at(states.offset, index))));
  };
  const out: (Segment | null)[] = cell.faces.map(() => null);
  for (const body of cell.pieces.keys()) {
    const own = [...cell.faces.keys()].filter(
      (i) => at(cell.faces, i).body === body && at(cell.faces, i).kind !== "pin",
    );
    for (const [k, segment] of faceSegments(own.map(planeOf)).entries()) out[at(own, k)] = segment;
  }
  for (const [i, wall] of cell.walls.entries()) {
    const plane = planeOf(i);
    const along = vec(-plane.normal.y, plane.normal.x);
    const middle = add(wall.middle, scale(plane.normal, at(states.offset, i)));
    out[i] = {
      from: add(middle, scale(along, -wall.halfLength)),
      to: add(middle, scale(along, wall.halfLength)),
      length: 2 * wall.halfLength,
    };
  }
  return out;
}
