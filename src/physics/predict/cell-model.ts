import { isUserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import type { Cell } from "../../model/cell/cell.js";
import { noErrors } from "../../model/cell/cell-errors.js";
import { freeBody } from "../seating/energy.js";
import { directSlopes, type SlopesByFace, slopesByFace } from "../seating/gap-sensitivity.js";
import { linearise, notHeld } from "../seating/rest-linear.js";
import type { GapEvaluation, SeatingModel } from "../seating/seating-model.js";
import { type SeatedFaces, seatedFaces, seatedResponses } from "./face-states.js";

/** A cell prepared for seating: computed once and used for every prediction. */
export interface CellModel {
  readonly cell: Cell;
  /** @internal */
  readonly seated: SeatedFaces;
  /** @internal */
  readonly seating: SeatingModel;
  /** The nominal cell and its derivatives. @internal */
  readonly nominal: GapEvaluation;
  /** Change of each gap, mm per rad or mm of each elementary error, while no piece moves; row-major (probe, error). */
  readonly direct: Float64Array;
  /** Slopes of each seated face with respect to each elementary error at nominal. @internal */
  readonly responses: SlopesByFace;
  /** Number of probes that are read, in the order of the cell's probes: the toes and heels of the joints; the probes of pins come after them. */
  readonly readProbes: number;
}

/** Length of face that a pin's spring represents, mm; it carries no load at equilibrium, so only its order of magnitude, that of a joint, matters. */
const PIN_STRETCH = 1;

/** Stiffness of a joint that is only brought together, as a share of that of a pressed one: enough to bring the last piece into place, while it moves other pieces by only a millionth of the gap. */
const LIGHT = 1e-6;

/**
 * The model of a cell. Making it costs more than a prediction, so make it once if a cell is predicted many times.
 *
 * @throws UserError (code "seating") when a piece is not held: it could slide or turn without any joint opening or closing.
 */
export function cellModel(cell: Cell): CellModel {
  const seated = seatedFaces(cell);
  const seating = seatingModel(cell, seated);
  const nominal = linearise(seating);
  const free = freeBody(seating, nominal);
  if (free !== null) throw notHeld(at(cell.pieces, free).name);
  const responses = slopesByFace(seating, seatedResponses({ cell, seated }, noErrors(cell)));
  return {
    cell,
    seated,
    seating,
    nominal,
    responses,
    direct: directSlopes(seating, nominal, responses, cell.errorEntries.length),
    readProbes: cell.probes.length,
  };
}

/** The given model, or a new one for the given cell. */
export const modelOf = (cell: Cell | CellModel): CellModel => ("seating" in cell ? cell : cellModel(cell));

function seatingModel(cell: Cell, { back, face }: SeatedFaces): SeatingModel {
  const seated = Array.from(face, (i) => at(cell.faces, i));
  // If a joint is read at the front and at the back, each probe represents half of it.
  const share = cell.depth === undefined ? 1 : 0.5;
  const probes = [
    ...cell.probes.map(({ joint, at, side }) => ({
      first: side === "back" ? back[joint.first]! : joint.first,
      mate: side === "back" ? back[joint.mate]! : joint.mate,
      at: joint[at],
      weight: (joint.pressed ? 1 : LIGHT) * (joint.length / 2) * share,
    })),
    ...cell.contacts.map((contact) => ({ ...contact, weight: PIN_STRETCH })),
  ];
  const numbers = <T>(list: readonly T[], pick: (item: T) => number) => Float64Array.from(list, pick);
  return {
    bodies: cell.pieces.length,
    faceBody: Int32Array.from(seated, (face) => face.body),
    faceX: numbers(seated, (face) => face.origin.x),
    faceY: numbers(seated, (face) => face.origin.y),
    faceAngle: numbers(seated, (face) => face.angle),
    faceOffset: numbers(seated, (face) => face.offset),
    probeX: numbers(probes, ({ at }) => at.x),
    probeY: numbers(probes, ({ at }) => at.y),
    normalX: numbers(probes, ({ first }) => Math.cos(at(seated, first).angle)),
    normalY: numbers(probes, ({ first }) => Math.sin(at(seated, first).angle)),
    first: Int32Array.from(probes, ({ first }) => first),
    mate: Int32Array.from(probes, ({ mate }) => mate),
    weight: numbers(probes, ({ weight }) => weight),
  };
}

/**
 * The result of a computation on a seated cell, or `null` if its errors are so large that its pieces find no equilibrium or its faces do not meet; other errors are rethrown.
 */
export function orNothing<T>(compute: () => T): T | null {
  try {
    return compute();
  } catch (error) {
    if (isUserError(error, "seating", "cutting-error")) return null;
    throw error;
  }
}
