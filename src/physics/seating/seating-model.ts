/**
 * The contact model: movable bodies, straight faces on them or on the fixed ground, and probes where two faces should touch.
 * Lengths are in mm, angles in rad. A body's pose is three numbers: the displacement of its origin along x and y, and its counter-clockwise rotation about that origin.
 */
export interface SeatingModel {
  /** Number of movable bodies. */
  readonly bodies: number;
  /** For each face: its body (−1 for the fixed ground) and the origin from which its offset is measured. */
  readonly faceBody: Int32Array;
  readonly faceX: Float64Array;
  readonly faceY: Float64Array;
  /** For each face at nominal: direction of the outward normal and offset from the origin. */
  readonly faceAngle: Float64Array;
  readonly faceOffset: Float64Array;
  /** For each probe: its position, the nominal normal of its first face, both faces, and the length of face it represents (mm; 0 if it is only read). */
  readonly probeX: Float64Array;
  readonly probeY: Float64Array;
  readonly normalX: Float64Array;
  readonly normalY: Float64Array;
  readonly first: Int32Array;
  readonly mate: Int32Array;
  readonly weight: Float64Array;
}

/** Ratio of the stiffness of a pressed face to that of an open one: K of the one-sided foundation (Johnson, Contact Mechanics, 1985, §4.3, for the springs). */
export const PRESS_RATIO = 1000;

/** The equilibrium of the pieces. */
export interface Rest {
  /** x, y (mm) and rotation (rad) of each body. */
  readonly pose: Float64Array;
  /** Signed gap at each probe, mm: positive = open, negative = pressed. */
  readonly gap: Float64Array;
  readonly iterations: number;
  /** Residual: largest component of the energy's gradient as a share of the forces that make it up. */
  readonly imbalance: number;
}

/** Layout of the numbers stored for each of a probe's two faces. */
export const Move = {
  /** How far the face has moved towards its mate, mm. */
  H: 0,
  /** Derivatives of the move with respect to the face's direction, its offset, and its body's x and y. */
  Angle: 1,
  Offset: 2,
  X: 3,
  Y: 4,
  /** Second derivatives with respect to direction twice, direction and offset, direction and x, direction and y. */
  AngleAngle: 5,
  AngleOffset: 6,
  AngleX: 7,
  AngleY: 8,
  /** Number of entries. */
  Size: 9,
} as const;

/** Gaps at every probe with the derivatives of both faces' moves: probe i's first face at `2·i·Size`, its mate right behind. */
export interface GapEvaluation {
  readonly gap: Float64Array;
  readonly moves: Float64Array;
}

export function newEvaluation(model: SeatingModel): GapEvaluation {
  const probes = model.weight.length;
  return { gap: new Float64Array(probes), moves: new Float64Array(2 * probes * Move.Size) };
}

/**
 * Exact gaps of faces with the given directions and offsets on bodies at `pose`.
 * A face with true normal n_w, origin o and offset c has moved by h = (c − n_w·(p − o)) / (n_w·n) along the nominal normal n at the probe p; the gap is −(h_first + h_mate).
 */
export function evaluateGaps(
  model: SeatingModel,
  faceAngle: Float64Array,
  faceOffset: Float64Array,
  pose: Float64Array,
  out: GapEvaluation,
): void {
  const { gap, moves } = out;
  for (let i = 0; i < gap.length; i++) {
    const at = 2 * i * Move.Size;
    const nx = model.normalX[i]!;
    const ny = model.normalY[i]!;
    faceMove(model, i, model.first[i]!, nx, ny, faceAngle, faceOffset, pose, moves, at);
    faceMove(model, i, model.mate[i]!, -nx, -ny, faceAngle, faceOffset, pose, moves, at + Move.Size);
    gap[i] = -(moves[at]! + moves[at + Move.Size]!);
  }
}

function faceMove(
  model: SeatingModel,
  probe: number,
  face: number,
  nx: number,
  ny: number,
  faceAngle: Float64Array,
  faceOffset: Float64Array,
  pose: Float64Array,
  out: Float64Array,
  at: number,
): void {
  const body = model.faceBody[face]!;
  let angle = faceAngle[face]!;
  let rx = model.probeX[probe]! - model.faceX[face]!;
  let ry = model.probeY[probe]! - model.faceY[face]!;
  if (body >= 0) {
    rx -= pose[3 * body]!;
    ry -= pose[3 * body + 1]!;
    angle += pose[3 * body + 2]!;
  }
  const ux = Math.cos(angle);
  const uy = Math.sin(angle);
  // With u the true normal and u' = (−u_y, u_x) its derivative with respect to the angle:
  const room = faceOffset[face]! - (ux * rx + uy * ry);
  const roomByAngle = uy * rx - ux * ry;
  const facing = ux * nx + uy * ny;
  const slope = (ux * ny - uy * nx) / facing;
  const h = room / facing;
  out[at + Move.H] = h;
  out[at + Move.Angle] = roomByAngle / facing - h * slope;
  out[at + Move.Offset] = 1 / facing;
  out[at + Move.X] = ux / facing;
  out[at + Move.Y] = uy / facing;
  out[at + Move.AngleAngle] =
    (ux * rx + uy * ry) / facing - (2 * roomByAngle * slope) / facing + h * (1 + 2 * slope * slope);
  out[at + Move.AngleOffset] = -slope / facing;
  out[at + Move.AngleX] = (-uy - ux * slope) / facing;
  out[at + Move.AngleY] = (ux - uy * slope) / facing;
}
