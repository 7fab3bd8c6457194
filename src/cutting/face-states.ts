import type { Cell } from "../lattice/cell.js";
import { cutNormal } from "../lattice/piece-faces.js";
import { errorLayout } from "./error-layout.js";

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
