import { crossing, direction, dot, sub } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { type Cell, type Face, facePlane } from "./cell.js";

/** The cut faces at one end of a piece. */
export const cutsAtEnd = (cell: Cell, body: number, end: -1 | 1): Face[] =>
  cell.faces.filter((face) => face.cut?.end === end && face.body === body);

/** The corner at one end of a side of a piece. */
interface ShoulderCorner {
  readonly end: -1 | 1;
  /** The cut that ends the side there. */
  readonly face: Face;
  /** How far out along the axis the corner lies from the piece's origin, mm. */
  readonly out: number;
}

/** The two corners at which the cuts of its ends leave a side of a piece. */
export function shoulderCorners(cell: Cell, side: Face): ShoulderCorner[] {
  const piece = at(cell.pieces, side.body);
  const axis = direction(piece.axis);
  return ([-1, 1] as const).map((end) => {
    const corners = cutsAtEnd(cell, side.body, end).map((face) => {
      const corner = crossing(facePlane(side), facePlane(face));
      return { end, face, out: end * dot(axis, sub(corner, piece.origin)) };
    });
    // The cut that faces this side ends it; one that faces the other side would cross it further out.
    return corners.reduce((best, corner) => (corner.out < best.out ? corner : best), at(corners, 0));
  });
}

/** The drawn length of one side of a piece, from shoulder to shoulder, mm. */
export const shoulderLength = (cell: Cell, side: Face): number =>
  shoulderCorners(cell, side).reduce((sum, { out }) => sum + out, 0);
