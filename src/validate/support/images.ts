import { errorLayout } from "../../cutting/error-layout.js";
import type { CutFace } from "../../lattice/arrangement.js";
import type { Cell } from "../../lattice/cell.js";

/** How a symmetry of the square cell renames what it maps, and what becomes of turns. */
export interface Image {
  /** The piece or wall that takes another's place. */
  readonly of: Readonly<Record<string, string>>;
  /** A face of a piece becomes the face of this name of its image. */
  readonly face: (piece: string, face: string) => string;
  /** −1 for a mirror: a turn changes its sense. */
  readonly sense: 1 | -1;
}

const otherSide = (face: string): string =>
  face.replace(/left|right/, (side) => (side === "left" ? "right" : "left"));
const otherEnd = (face: string): string =>
  face.replace(/start|end/, (end) => (end === "start" ? "end" : "start"));

/** Across the diagonal: upper left and lower right triangle change places. */
export const MIRROR: Image = {
  of: {
    diagonal: "diagonal",
    ...{ "hinge-1": "hinge-3", "hinge-3": "hinge-1", "hinge-2": "hinge-4", "hinge-4": "hinge-2" },
    ...{ "key-1": "key-2", "key-2": "key-1" },
    ...{ "wall-left": "wall-bottom", "wall-bottom": "wall-left" },
    ...{ "wall-top": "wall-right", "wall-right": "wall-top" },
  },
  face: (_, face) => otherSide(face),
  sense: -1,
};

/** By half a turn: the diagonal comes to lie end for end, every other piece keeps its faces. */
export const HALF_TURN: Image = {
  of: {
    diagonal: "diagonal",
    ...{ "hinge-1": "hinge-4", "hinge-4": "hinge-1", "hinge-2": "hinge-3", "hinge-3": "hinge-2" },
    ...{ "key-1": "key-2", "key-2": "key-1" },
    ...{ "wall-left": "wall-right", "wall-right": "wall-left" },
    ...{ "wall-top": "wall-bottom", "wall-bottom": "wall-top" },
  },
  face: (piece, face) =>
    piece === "diagonal" ? otherSide(face.includes("-") ? otherEnd(face) : face) : face,
  sense: 1,
};

/** The errors that the image of a cell has. */
export function imageOfErrors(cell: Cell, errors: Float64Array, image: Image): Float64Array {
  const { entries, indexOf } = errorLayout(cell);
  const out = new Float64Array(errors.length);
  for (const [i, { kind, owner, face }] of entries.entries()) {
    const to = face === undefined ? undefined : (image.face(owner, face) as CutFace);
    out[indexOf(kind, image.of[owner]!, to)] = (kind === "turn" ? image.sense : 1) * errors[i]!;
  }
  return out;
}

/** A joint's name in the image, its two faces in alphabetical order: which one a pattern names first does not matter to the gap. */
export function imageOfJoint(joint: string, image: Image): string {
  const moved = joint.split("|").map((name) => {
    const [owner, face] = name.split(".");
    const piece = image.of[owner!]!;
    return face === undefined ? piece : `${piece}.${image.face(owner!, face)}`;
  });
  return moved.sort().join("|");
}

export const sortedJoint = (joint: string): string => joint.split("|").sort().join("|");
