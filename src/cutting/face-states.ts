import type { Cell, Face } from "../lattice/cell.js";
import { cutNormal } from "../lattice/piece-faces.js";
import { type ErrorLayout, errorLayout } from "./error-layout.js";

/** Where each face of a cell lies before the pieces settle: direction of the outward normal (rad) and offset from the face's origin (mm). */
export interface FaceStates {
  readonly angle: Float64Array;
  readonly offset: Float64Array;
}

/** How one face's direction and offset answer to one elementary error. */
export interface FaceResponse {
  readonly face: number;
  readonly error: number;
  /** d angle / d error. */
  readonly angle: number;
  /** d offset / d error. */
  readonly offset: number;
}

/** Exact faces under an error vector (lay-out of {@link errorLayout}). */
export function faceStates(cell: Cell, errors: Float64Array): FaceStates {
  const layout = errorLayout(cell);
  const angle = Float64Array.from(cell.faces, (face) => face.angle);
  const offset = Float64Array.from(cell.faces, (face) => face.offset);
  for (const [i, face] of cell.faces.entries()) {
    const read = reader(face, cell, layout, errors);
    if (face.kind === "wall") {
      angle[i] = face.angle + read("turn");
      offset[i] = read("offset");
    } else if (face.kind === "side") {
      offset[i] = face.offset + read("thickness") / 2;
    } else if (face.cut) {
      const jigAngle = face.cut.jigAngle + read("angle");
      angle[i] = face.angle + cutNormal(face.cut, jigAngle) - cutNormal(face.cut, face.cut.jigAngle);
      offset[i] = (face.cut.reach + read("axial")) * Math.cos(jigAngle);
    }
  }
  return { angle, offset };
}

function reader(face: Face, cell: Cell, layout: ErrorLayout, errors: Float64Array) {
  const owner = face.body < 0 ? face.name : cell.pieces[face.body]!.name;
  return (kind: "thickness" | "angle" | "axial" | "turn" | "offset"): number => {
    const cutFace = kind === "angle" || kind === "axial" ? face.cut!.face : undefined;
    return errors[layout.indexOf(kind, owner, cutFace)]!;
  };
}

/** Derivatives of {@link faceStates} at `errors`. */
export function faceResponses(cell: Cell, errors: Float64Array): FaceResponse[] {
  const layout = errorLayout(cell);
  return cell.faces.flatMap((face, index): FaceResponse[] => {
    if (face.kind === "wall") {
      return [
        { face: index, error: layout.indexOf("turn", face.name), angle: 1, offset: 0 },
        { face: index, error: layout.indexOf("offset", face.name), angle: 0, offset: 1 },
      ];
    }
    if (face.kind === "pin") return [];
    const owner = cell.pieces[face.body]!.name;
    if (!face.cut) {
      return [{ face: index, error: layout.indexOf("thickness", owner), angle: 0, offset: 0.5 }];
    }
    const { cut } = face;
    const angleError = layout.indexOf("angle", owner, cut.face);
    const axialError = layout.indexOf("axial", owner, cut.face);
    const jigAngle = cut.jigAngle + errors[angleError]!;
    const reach = cut.reach + errors[axialError]!;
    return [
      { face: index, error: angleError, angle: cut.end * cut.side, offset: -reach * Math.sin(jigAngle) },
      { face: index, error: axialError, angle: 0, offset: Math.cos(jigAngle) },
    ];
  });
}
