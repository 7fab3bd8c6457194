import { LARGEST_ANGLE_ERROR } from "../cutting/error-layout.js";
import { errorLayout } from "../cutting/error-layout.js";
import type { FaceStates } from "../cutting/face-states.js";
import { faceSegments, type Segment } from "../geometry/face-segments.js";
import { halfPlaneThrough } from "../geometry/half-plane.js";
import { add, direction, dot, scale, vec } from "../geometry/vector.js";
import type { Cell } from "../lattice/cell.js";
import { cellProbes } from "../lattice/cell-probes.js";

/** Errors beyond what the model can speak of; the message names the piece or joint. */
export class PredictError extends Error {
  override readonly name = "PredictError";
}

/**
 * Refuses error values that no cut can have: too few or too many, not a number, a thickness error as large as the strip, an angle beyond {@link LARGEST_ANGLE_ERROR}.
 *
 * @throws PredictError
 */
export function requireSensibleErrors(cell: Cell, errors: Float64Array): void {
  const { entries } = errorLayout(cell);
  if (errors.length !== entries.length) {
    throw new PredictError(
      `An error vector of ${cell.name} holds ${entries.length} values; this one holds ${errors.length}.`,
    );
  }
  for (const [i, { kind, owner, face }] of entries.entries()) {
    const value = errors[i]!;
    const what = face === undefined ? owner : `${owner}.${face}`;
    if (!Number.isFinite(value)) throw new PredictError(`The ${kind} error of ${what} is not a number.`);
    if ((kind === "angle" || kind === "lean" || kind === "turn") && Math.abs(value) > LARGEST_ANGLE_ERROR) {
      throw new PredictError(
        `The ${kind} error of ${what} is ${degrees(value)}°; the model speaks of at most 10°. Give the error, not the angle itself.`,
      );
    }
    if (kind === "thickness" && Math.abs(value) >= cell.strip) {
      throw new PredictError(
        `The thickness error of ${what} is no smaller than the strip: ${value} mm on a strip of ${cell.strip} mm. Give the difference from the strip, not the thickness.`,
      );
    }
  }
}

/**
 * Refuses a cell that is no longer one: a cut that vanishes, a joint whose faces as cut no longer lie side by side, or faces at rest further apart
 * (or deeper in each other) than half the strip's thickness.
 *
 * @param states the faces at one distance from mid-depth.
 * @param gap the gaps at rest in the order of `cellProbes`, mm.
 * @throws PredictError
 */
export function requireMeeting(cell: Cell, states: FaceStates, gap: Float64Array): void {
  const segments = currentSegments(cell, states, new Float64Array(3 * cell.pieces.length));
  for (const { first, mate } of cell.joints) {
    for (const face of [first, mate]) {
      if (segments[face]) continue;
      throw new PredictError(
        `The errors are too large: the face ${cell.faces[face]!.name} vanishes. ${LOOK_FOR}`,
      );
    }
  }
  const apart = new Uint8Array(cell.joints.length);
  for (const [i, { index }] of cellProbes(cell).entries()) {
    if (Math.abs(gap[i]!) > MOST_APART * cell.strip) apart[index] = 1;
  }
  for (const [i, { name }] of cell.joints.entries()) {
    if (meeting(cell, segments, i) > 0 && !apart[i]) continue;
    throw new PredictError(`The errors are too large: in ${name} the faces no longer meet. ${LOOK_FOR}`);
  }
}

/**
 * Joints whose faces have slid past each other where the pieces rest: in slender cells the star of hinges and key floats sideways, and a gap read
 * at the probes' fixed places is then not what a hand would find.
 */
export function slidApart(cell: Cell, states: FaceStates, pose: Float64Array): string[] {
  const segments = currentSegments(cell, states, pose);
  return cell.joints.flatMap(({ name }, i) => (meeting(cell, segments, i) > 0 ? [] : [name]));
}

/** Length over which a joint's faces lie side by side, mm; not positive when they have slid past each other. */
function meeting(cell: Cell, segments: readonly (Segment | null)[], joint: number): number {
  const { first, mate, length, toe, heel } = cell.joints[joint]!;
  const along = vec((heel.x - toe.x) / length, (heel.y - toe.y) / length);
  const [a0, a1] = spanAlong(segments[first]!, along);
  const [b0, b1] = spanAlong(segments[mate]!, along);
  return Math.min(a1, b1) - Math.max(a0, b0);
}

/** Faces further apart than this share of the strip's thickness are no joint any more. */
const MOST_APART = 0.5;
const LOOK_FOR = "Look for a value in the wrong unit or with a slipped decimal point.";

const degrees = (angle: number): string => ((angle * 180) / Math.PI).toFixed(2);

function spanAlong({ from, to }: Segment, along: { x: number; y: number }): [number, number] {
  const a = dot(along, from);
  const b = dot(along, to);
  return a < b ? [a, b] : [b, a];
}

/** The stretch of every face with its errors, on pieces at their poses. */
export function currentSegments(cell: Cell, states: FaceStates, pose: Float64Array): (Segment | null)[] {
  const planeOf = (index: number) => {
    const face = cell.faces[index]!;
    const moved = face.body < 0 ? [0, 0, 0] : pose.subarray(3 * face.body, 3 * face.body + 3);
    const angle = states.angle[index]! + moved[2]!;
    const origin = add(face.origin, vec(moved[0]!, moved[1]!));
    return halfPlaneThrough(angle, add(origin, scale(direction(angle), states.offset[index]!)));
  };
  const out: (Segment | null)[] = cell.faces.map(() => null);
  for (const body of cell.pieces.keys()) {
    const own = [...cell.faces.keys()].filter(
      (i) => cell.faces[i]!.body === body && cell.faces[i]!.kind !== "pin",
    );
    for (const [k, segment] of faceSegments(own.map(planeOf)).entries()) out[own[k]!] = segment;
  }
  for (const [i, wall] of cell.walls.entries()) {
    const plane = planeOf(i);
    const along = vec(-plane.normal.y, plane.normal.x);
    const middle = add(wall.middle, scale(plane.normal, states.offset[i]!));
    out[i] = {
      from: add(middle, scale(along, -wall.halfLength)),
      to: add(middle, scale(along, wall.halfLength)),
      length: 2 * wall.halfLength,
    };
  }
  return out;
}
