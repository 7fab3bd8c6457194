/**
 * What the seating knows: bodies that may move, straight faces on them or on fixed ground, and probes where two faces should touch.
 * Lengths mm, angles rad. A body's pose is three numbers: the displacement of its origin along x and y and its turn counter-clockwise about that origin.
 */
export interface SeatingModel {
  /** How many bodies may move. */
  readonly bodies: number;
  /** For each face: its body (−1 for fixed ground) and the origin its offset is counted from. */
  readonly faceBody: Int32Array;
  readonly faceX: Float64Array;
  readonly faceY: Float64Array;
  /** For each face at nominal: direction of the outward normal and offset from the origin. */
  readonly faceAngle: Float64Array;
  readonly faceOffset: Float64Array;
  /** For each probe: its place, the nominal normal of its first face, both faces, and the stretch of face it stands for (mm; 0 when it is only read). */
  readonly probeX: Float64Array;
  readonly probeY: Float64Array;
  readonly normalX: Float64Array;
  readonly normalY: Float64Array;
  readonly first: Int32Array;
  readonly mate: Int32Array;
  readonly weight: Float64Array;
}

/** How many times stiffer a face is when pressed than when it stands off: K of the one-sided foundation (Johnson, Contact Mechanics, 1985, §4.3, for the springs). */
export const PRESS_RATIO = 1000;

/** The pieces found no rest, or are not held; the message says which. */
export class SeatingError extends Error {
  override readonly name = "SeatingError";
}

/** Where the pieces came to rest. */
export interface Rest {
  /** x, y (mm) and turn (rad) of each body. */
  readonly pose: Float64Array;
  /** Signed gap at each probe, mm: positive = open, negative = pressed. */
  readonly gap: Float64Array;
  readonly iterations: number;
  /** Largest component of the energy's gradient as a share of the forces that make it up. */
  readonly imbalance: number;
}
