import type { Cell } from "../lattice/cell.js";
import { sideDepth } from "../lattice/cell-probes.js";
import { type FaceResponse, type FaceStates, faceResponses, faceStates } from "./face-states.js";

/**
 * The faces that the seating knows: those of the cell, and in one with a depth each cut once more, as it is at the back.
 * Then the cell's own faces are those at the front; walls and sides are plumb and the same throughout.
 */
export interface SeatedFaces {
  /** For each face of the cell, the seated one that is there at the back: itself when it cannot lean. */
  readonly back: Int32Array;
  /** For each seated face, the face of the cell. */
  readonly face: Int32Array;
}

const known = new WeakMap<Cell, SeatedFaces>();

/** The lay-out of a cell's seated faces; the same object each time it is asked for. */
export function seatedFaces(cell: Cell): SeatedFaces {
  const before = known.get(cell);
  if (before) return before;
  const face = [...cell.faces.keys()];
  const back = cell.faces.map(({ cut }, i) => {
    if (!cut || cell.depth === undefined) return i;
    return face.push(i) - 1;
  });
  const seated = { back: Int32Array.from(back), face: Int32Array.from(face) };
  known.set(cell, seated);
  return seated;
}

/** Exact seated faces under an error vector (lay-out of `errorLayout`). */
export function seatedStates(cell: Cell, errors: Float64Array): FaceStates {
  const front = faceStates(cell, errors, sideDepth(cell, "front"));
  if (cell.depth === undefined) return front;
  const behind = faceStates(cell, errors, sideDepth(cell, "back"));
  const { face } = seatedFaces(cell);
  const own = cell.faces.length;
  const of = (key: keyof FaceStates): Float64Array =>
    Float64Array.from(face, (i, seated) => (seated < own ? front : behind)[key][i]!);
  return { angle: of("angle"), offset: of("offset") };
}

/** Derivatives of {@link seatedStates} at `errors`. */
export function seatedResponses(cell: Cell, errors: Float64Array): FaceResponse[] {
  const front = faceResponses(cell, errors, sideDepth(cell, "front"));
  if (cell.depth === undefined) return front;
  const { back } = seatedFaces(cell);
  const behind = faceResponses(cell, errors, sideDepth(cell, "back")).flatMap((response) =>
    back[response.face] === response.face ? [] : [{ ...response, face: back[response.face]! }],
  );
  return [...front, ...behind];
}
