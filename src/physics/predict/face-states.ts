import { type Cell, cutNormal, sideDepth } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";

/** Where each face of a cell lies before any piece has moved: direction of the outward normal (rad) and offset from the face's origin (mm). */
export interface FaceStates {
  readonly angle: Float64Array;
  readonly offset: Float64Array;
}

/** How one face's direction and offset answer to one elementary error. */
interface FaceResponse {
  readonly face: number;
  readonly error: number;
  /** d angle / d error. */
  readonly angle: number;
  /** d offset / d error. */
  readonly offset: number;
}

/** The elementary errors that move a face: angle, axial and lean of a cut, turn and offset of a wall, thickness (twice) of a side; −1 for what it has not. */
interface Wiring {
  readonly turning: Int32Array;
  readonly shifting: Int32Array;
  readonly leaning: Int32Array;
}

const wirings = new WeakMap<Cell, Wiring>();

function wiringOf(cell: Cell): Wiring {
  const known = wirings.get(cell);
  if (known) return known;
  const { indexOf } = errorLayout(cell);
  const pairs = cell.faces.map(({ kind, name, body, cut }): [number, number] => {
    if (kind === "pin") return [-1, -1];
    if (kind === "wall") return [indexOf("turn", name), indexOf("offset", name)];
    const owner = cell.pieces[body]!.name;
    if (cut) return [indexOf("angle", owner, cut.face), indexOf("axial", owner, cut.face)];
    return [indexOf("thickness", owner), indexOf("thickness", owner)];
  });
  const leaning = cell.faces.map(({ body, cut }) =>
    cut && cell.depth !== undefined ? indexOf("lean", cell.pieces[body]!.name, cut.face) : -1,
  );
  const wiring = {
    leaning: Int32Array.from(leaning),
    turning: Int32Array.from(pairs, ([turning]) => turning),
    shifting: Int32Array.from(pairs, ([, shifting]) => shifting),
  };
  wirings.set(cell, wiring);
  return wiring;
}

/**
 * Exact faces under an error vector (lay-out of {@link errorLayout}), as they are at the distance `z` from mid-depth (mm, towards the viewer +):
 * there a cut that leans by λ stands z·λ further out.
 */
export function faceStates(cell: Cell, errors: Float64Array, z = 0): FaceStates {
  const { turning, shifting, leaning } = wiringOf(cell);
  const angle = new Float64Array(cell.faces.length);
  const offset = new Float64Array(cell.faces.length);
  for (const [i, face] of cell.faces.entries()) {
    const turn = errors[turning[i]!] ?? 0;
    const shift = errors[shifting[i]!] ?? 0;
    angle[i] = face.angle;
    offset[i] = face.offset;
    if (face.cut) {
      const { cut } = face;
      angle[i] = face.angle + cutNormal(cut, cut.jigAngle + turn) - cutNormal(cut, cut.jigAngle);
      offset[i] = (cut.reach + shift) * Math.cos(cut.jigAngle + turn);
      if (z !== 0) offset[i]! += z * (errors[leaning[i]!] ?? 0);
    } else if (face.kind === "wall") {
      angle[i] = face.angle + turn;
      offset[i] = face.offset + shift;
    } else if (face.kind === "side") offset[i] = face.offset + shift / 2;
  }
  return { angle, offset };
}

/** Derivatives of {@link faceStates} at `errors`. */
export function faceResponses(cell: Cell, errors: Float64Array, z = 0): FaceResponse[] {
  const { turning, shifting, leaning } = wiringOf(cell);
  return cell.faces.flatMap(({ kind, cut }, face): FaceResponse[] => {
    const [turn, shift] = [turning[face]!, shifting[face]!];
    if (kind === "pin") return [];
    if (kind === "side") return [{ face, error: shift, angle: 0, offset: 0.5 }];
    if (!cut) {
      return [
        { face, error: turn, angle: 1, offset: 0 },
        { face, error: shift, angle: 0, offset: 1 },
      ];
    }
    const jigAngle = cut.jigAngle + errors[turn]!;
    const reach = cut.reach + errors[shift]!;
    return [
      { face, error: turn, angle: cut.end * cut.side, offset: -reach * Math.sin(jigAngle) },
      { face, error: shift, angle: 0, offset: Math.cos(jigAngle) },
      ...(z !== 0 && leaning[face]! >= 0 ? [{ face, error: leaning[face]!, angle: 0, offset: z }] : []),
    ];
  });
}

/**
 * The faces that the seating knows: those of the cell, and in one with a depth each cut once more, as it is at the back.
 * Then the cell's own faces are those at the front; walls and sides are plumb and the same throughout.
 */
interface SeatedFaces {
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
