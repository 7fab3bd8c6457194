import type { HalfPlane } from "./half-plane.js";
import { add, dot, scale, turnedLeft, type Vec } from "./vector.js";

/** The stretch of one boundary line that bounds the intersection, counter-clockwise. */
export interface Segment {
  readonly from: Vec;
  readonly to: Vec;
  readonly length: number;
}

const PARALLEL = 1e-12;

/**
 * The edge that each half-plane contributes to the intersection of all of them.
 *
 * @returns one segment a half-plane, in the same order; `null` where it contributes none (a face that has vanished).
 *          A segment of infinite length means that the intersection is not bounded on that side.
 */
export function faceSegments(planes: readonly HalfPlane[]): (Segment | null)[] {
  return planes.map((plane, index) => edgeOn(plane, planes, index));
}

function edgeOn(plane: HalfPlane, planes: readonly HalfPlane[], index: number): Segment | null {
  const along = turnedLeft(plane.normal);
  const base = scale(plane.normal, plane.offset);
  let low = Number.NEGATIVE_INFINITY;
  let high = Number.POSITIVE_INFINITY;
  for (const [i, other] of planes.entries()) {
    if (i === index) continue;
    const slope = dot(other.normal, along);
    const room = other.offset - dot(other.normal, base);
    if (Math.abs(slope) < PARALLEL) {
      if (room < 0) return null;
    } else if (slope > 0) high = Math.min(high, room / slope);
    else low = Math.max(low, room / slope);
  }
  if (!(high > low)) return null;
  return { from: add(base, scale(along, low)), to: add(base, scale(along, high)), length: high - low };
}
