import type { Segment } from "../../../geometry/face-segments.js";
import { add, direction, scale, sub, type Vec } from "../../../geometry/vector.js";
import type { Wall } from "../../../lattice/arrangement.js";
import type { Face } from "../../../lattice/cell.js";

/** Faces coincide when they agree to this share of the strip's thickness, as cells are compiled. */
export const TOUCHING = 1e-7;

/** A face of a piece or a wall, and the stretch of it that is left. */
export interface Edge {
  readonly face: Face;
  readonly segment: Segment;
}

/** The stretch of a wall. Its `to` end lies clockwise along its face. */
export function wallSegment({ middle, normal, halfLength }: Wall): Segment {
  const along = scale(direction(normal + Math.PI / 2), halfLength);
  return { from: sub(middle, along), to: add(middle, along), length: 2 * halfLength };
}

/** The middle of points. */
export const middle = (corners: readonly Vec[]): Vec => scale(corners.reduce(add), 1 / corners.length);
