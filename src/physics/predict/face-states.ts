import { at } from "../../core/numeric/dense.js";
import { type Cell, cutNormal, sideDepth } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";

/** Position of each face of a cell before any piece has moved: direction of the outward normal (rad) and offset from the face's origin (mm). */
export interface FaceStates {
  readonly angle: Float64Array;
  readonly offset: Float64Array;
}

/** Derivatives of one face's direction and offset with respect to one elementary error. */
interface FaceResponse {
  readonly face: number;
  readonly error: number;
  /** d angle / d error. */
  readonly angle: number;
  /** d offset / d error. */
  readonly offset: number;
}

/**
 * Exact faces for an error vector (layout of {@link errorLayout}) at the distance `z` from mid-depth (mm, towards the viewer +):
 * a cut that leans by λ lies z·λ further out there.
 */
export function faceStates(cell: Cell, errors: Float64Array, z = 0): FaceStates {
  const angle = new Float64Array(cell.faces.length);
  const offset = new Float64Array(cell.faces.length);
  for (const [i, face] of cell.faces.entries()) {
    const own = cell.faceErrors[i];
    const turn = errors[own?.turn ?? -1] ?? 0;
    const shift = errors[own?.shift ?? -1] ?? 0;
    angle[i] = face.angle;
    offset[i] = face.offset;
    if (face.cut) {
      const { cut } = face;
      angle[i] = face.angle + cutNormal(cut, cut.jigAngle + turn) - cutNormal(cut, cut.jigAngle);
      offset[i] = (cut.reach + shift) * Math.cos(cut.jigAngle + turn);
      if (z !== 0) offset[i]! += z * (errors[own?.lean ?? -1] ?? 0);
    } else if (face.kind === "wall") {
      angle[i] = face.angle + turn;
      offset[i] = face.offset + shift;
    } else if (face.kind === "side") offset[i] = face.offset + shift / 2;
  }
  return { angle, offset };
}

/** Derivatives of {@link faceStates} at `errors`. */
export function faceResponses(cell: Cell, errors: Float64Array, z = 0): FaceResponse[] {
  return cell.faceErrors.flatMap(({ turn, shift, lean }, face): FaceResponse[] => {
    const { kind, cut } = at(cell.faces, face);
    if (kind === "pin") return [];
    if (kind === "side") return [{ face, error: shift, angle: 0, offset: 0.5 }];
    if (!cut) {
      return [
        { face, error: turn, angle: 1, offset: 0 },
        { face, error: shift, angle: 0, offset: 1 },
      ];
    }
    const jigAngle = cut.jigAngle + at(errors, turn);
    const reach = cut.reach + at(errors, shift);
    return [
      { face, error: turn, angle: cut.end * cut.side, offset: -reach * Math.sin(jigAngle) },
      { face, error: shift, angle: 0, offset: Math.cos(jigAngle) },
      ...(z !== 0 && lean >= 0 ? [{ face, error: lean, angle: 0, offset: z }] : []),
    ];
  });
}

/**
 * The faces used for seating: those of the cell and, in a cell with a depth, a second copy of each cut for the back.
 * In that case the cell's own faces are those at the front; walls and sides are plumb, so they are the same at every depth.
 */
export interface SeatedFaces {
  /** For each face of the cell, the index of the seated face that represents it at the back: the face itself if it cannot lean. */
  readonly back: Int32Array;
  /** For each seated face, the index of the cell's face. */
  readonly face: Int32Array;
}

/** The layout of a cell's seated faces. */
export function seatedFaces(cell: Cell): SeatedFaces {
  const face = [...cell.faces.keys()];
  const back = cell.faces.map(({ cut }, i) => {
    if (!cut || cell.depth === undefined) return i;
    return face.push(i) - 1;
  });
  return { back: Int32Array.from(back), face: Int32Array.from(face) };
}

/** A cell with its seated faces. */
interface SeatedCell {
  readonly cell: Cell;
  readonly seated: SeatedFaces;
}

/** Exact seated faces for an error vector (layout of `errorLayout`). */
export function seatedStates({ cell, seated: { face } }: SeatedCell, errors: Float64Array): FaceStates {
  const front = faceStates(cell, errors, sideDepth(cell, "front"));
  if (cell.depth === undefined) return front;
  const behind = faceStates(cell, errors, sideDepth(cell, "back"));
  const own = cell.faces.length;
  const of = (key: keyof FaceStates): Float64Array =>
    Float64Array.from(face, (i, seated) => at((seated < own ? front : behind)[key], i));
  return { angle: of("angle"), offset: of("offset") };
}

/** Derivatives of {@link seatedStates} at `errors`. */
export function seatedResponses(
  { cell, seated: { back } }: SeatedCell,
  errors: Float64Array,
): FaceResponse[] {
  const front = faceResponses(cell, errors, sideDepth(cell, "front"));
  if (cell.depth === undefined) return front;
  const behind = faceResponses(cell, errors, sideDepth(cell, "back")).flatMap((response) =>
    back[response.face] === response.face ? [] : [{ ...response, face: at(back, response.face) }],
  );
  return [...front, ...behind];
}
