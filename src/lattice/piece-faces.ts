import { type HalfPlane, halfPlaneThrough } from "../geometry/half-plane.js";
import { add, direction, scale } from "../geometry/vector.js";
import type { Cut, Piece, Wall } from "./arrangement.js";
import type { Face } from "./cell.js";

/** Direction of a cut's outward normal in the piece's own frame, rad, for a jig that cuts at `jigAngle`. */
export function cutNormal(cut: Pick<Cut, "end" | "side">, jigAngle: number): number {
  return cut.end === 1 ? cut.side * jigAngle : Math.PI - cut.side * jigAngle;
}

/** The faces of a piece, sides first. */
export function pieceFaces(piece: Piece, body: number, strip: number): Face[] {
  const common = { body, origin: piece.origin };
  const side = (name: "left" | "right", turn: number): Face => ({
    ...common,
    name: `${piece.name}.${name}`,
    angle: piece.axis + turn,
    offset: strip / 2,
    kind: "side",
  });
  const cutFace = (cut: Cut): Face => ({
    ...common,
    name: `${piece.name}.${cut.face}`,
    angle: piece.axis + cutNormal(cut, cut.jigAngle),
    offset: cut.reach * Math.cos(cut.jigAngle),
    kind: "cut",
    cut,
  });
  return [side("left", Math.PI / 2), side("right", -Math.PI / 2), ...piece.cuts.map(cutFace)];
}

export function wallFace(wall: Wall): Face {
  return { name: wall.name, body: -1, origin: wall.middle, angle: wall.normal, offset: 0, kind: "wall" };
}

/** A face as a half-plane in the cell's axes. */
export function facePlane(face: Face): HalfPlane {
  return halfPlaneThrough(face.angle, add(face.origin, scale(direction(face.angle), face.offset)));
}
