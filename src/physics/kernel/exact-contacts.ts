import { at } from "../../core/numeric/dense.js";
import { sideDepth } from "../../model/cell/cell.js";
import { errorLayout, LARGEST_ANGLE_ERROR, noErrors } from "../../model/cell/cell-errors.js";
import type { CellModel } from "../predict/cell-model.js";
import { faceResponses } from "../predict/face-states.js";
import type { SeatingModel } from "../seating/seating-model.js";
import { smallAngle, type Tape, type Value } from "./tape.js";
import type { RecordPlan } from "./trial-record.js";

/** A face relative to one of its joints: turned by `tilt` (rad) from the probe's nominal normal; the tilt is only rounding unless the nominal faces are not exactly parallel. */
interface Facet {
  readonly face: number;
  readonly body: number;
  readonly tilt: number;
}

/** One side of a contact. */
interface Side {
  readonly facet: number;
  readonly body: number;
  /** The nominal outward normal of this side. */
  readonly nx: number;
  readonly ny: number;
  /** For each probe, its position relative to the face's origin: along the normal, and along the normal turned by +90°, mm. */
  readonly out: readonly number[];
  readonly along: readonly number[];
}

/** Probes that share both faces and the normal: the two ends of a joint, or a pin. */
interface Contact {
  readonly probes: readonly number[];
  readonly sides: readonly [Side, Side];
}

export interface Contacts {
  readonly facets: readonly Facet[];
  readonly contacts: readonly Contact[];
}

/** Tilts up to this size, rad, count as rounding: over a metre they move a face by 1e-11 mm. */
const ROUNDING = 1e-14;

export function contactsOf(model: SeatingModel): Contacts {
  const facets: Facet[] = [];
  const facetOf = (face: number, tilt: number): number => {
    const known = facets.findIndex((facet) => facet.face === face && facet.tilt === tilt);
    if (known >= 0) return known;
    return facets.push({ face, body: at(model.faceBody, face), tilt }) - 1;
  };
  const sideOf = (probes: readonly number[], face: number, sign: 1 | -1): Side => {
    const [nx, ny] = [sign * at(model.normalX, at(probes, 0)), sign * at(model.normalY, at(probes, 0))];
    const away = probes.map((probe) => {
      const x = at(model.probeX, probe) - at(model.faceX, face);
      const y = at(model.probeY, probe) - at(model.faceY, face);
      return { out: nx * x + ny * y, along: nx * y - ny * x };
    });
    const turn = at(model.faceAngle, face) - Math.atan2(ny, nx);
    const tilt = turn - 2 * Math.PI * Math.round(turn / (2 * Math.PI));
    return {
      facet: facetOf(face, Math.abs(tilt) <= ROUNDING ? 0 : tilt),
      body: at(model.faceBody, face),
      nx,
      ny,
      out: away.map(({ out }) => out),
      along: away.map(({ along }) => along),
    };
  };
  const contacts = grouped(model).map((probes): Contact => {
    const [first, mate] = [at(model.first, at(probes, 0)), at(model.mate, at(probes, 0))];
    return { probes, sides: [sideOf(probes, first, 1), sideOf(probes, mate, -1)] };
  });
  return { facets, contacts };
}

function grouped({ first, mate, normalX, normalY }: SeatingModel): number[][] {
  const groups = new Map<string, number[]>();
  for (const i of first.keys()) {
    const key = `${first[i]} ${mate[i]} ${normalX[i]} ${normalY[i]}`;
    groups.set(key, [...(groups.get(key) ?? []), i]);
  }
  return [...groups.values()];
}

/** Layout of a trial's exact-order numbers in its record; draws, gaps and signs stay where first order stores them. */
export interface ExactPlaces {
  /** Poses (x, y, turn of each body) before the step under trial, and that step. */
  readonly pose: number;
  readonly step: number;
  /** Energy at `pose` and its slope along the step. */
  readonly energy: number;
  readonly slope: number;
  /** The share of the step that was evaluated last, and energy and slope there. */
  readonly share: number;
  readonly energyThere: number;
  readonly slopeThere: number;
  /** For each facet on a body: tangent of its turn, and offset / cosine of its turn. */
  readonly tangent: number;
  readonly reach: number;
  /** For each probe with a fixed face: how far that face has moved towards its mate, mm. */
  readonly fixed: number;
  /** For each side on a body, in the order of the contacts: its derivatives with respect to x and y, then with respect to the turn at each probe. */
  readonly slopes: number;
  /** For each probe, stiffness × stretch, and −spring·gap. */
  readonly spring: number;
  readonly pull: number;
  /** For each facet on a body, with the body's turn: tangent, and offset / cosine. */
  readonly tangentThere: number;
  readonly reachThere: number;
  /** Derivatives of the energy with respect to the poses. */
  readonly gradient: number;
}

export function exactPlaces(
  { bodies, weight }: SeatingModel,
  contacts: Contacts,
  plan: RecordPlan,
): ExactPlaces {
  const probes = weight.length;
  const facets = contacts.facets.length;
  return {
    pose: plan.take(3 * bodies),
    step: plan.take(3 * bodies),
    energy: plan.take(1),
    slope: plan.take(1),
    share: plan.take(1),
    energyThere: plan.take(1),
    slopeThere: plan.take(1),
    tangent: plan.take(facets),
    reach: plan.take(facets),
    fixed: plan.take(probes),
    slopes: plan.take(4 * contacts.contacts.length + 2 * probes),
    spring: plan.take(probes),
    pull: plan.take(probes),
    tangentThere: plan.take(facets),
    reachThere: plan.take(facets),
    gradient: plan.take(3 * bodies),
  };
}

/** A face with its errors, before any piece has moved: `seatedStates` on a tape. */
interface TapeFace {
  /** Sine and cosine of how far it has turned from nominal. */
  readonly sine: Value;
  readonly cosine: Value;
  /** Its distance from its origin, mm. */
  readonly offset: Value;
  /** The angle error that turned it, so that its size can be checked; `null` if there is none. */
  readonly turnedBy: Value | null;
}

export function tapeFaces(tape: Tape, model: CellModel, errors: readonly Value[]): TapeFace[] {
  const { cell } = model;
  const responses = faceResponses(cell, noErrors(cell));
  const straight = { sine: tape.zero, cosine: tape.constant(1), turnedBy: null };
  const middle = cell.faces.map((face, index): TapeFace => {
    const nominal = tape.constant(face.offset);
    const [turning, shifting] = responses.filter((response) => response.face === index);
    if (!turning) return { ...straight, offset: nominal };
    // A side depends only on the thickness of its piece.
    if (!shifting)
      return {
        ...straight,
        offset: tape.add(nominal, scaled(tape, turning.offset, at(errors, turning.error))),
      };
    const turnedBy = at(errors, turning.error);
    const shift = at(errors, shifting.error);
    const { sine, cosine } = smallAngle(tape, turnedBy, LARGEST_ANGLE_ERROR);
    const turned = { sine: scaled(tape, turning.angle, sine), cosine, turnedBy };
    if (!face.cut) return { ...turned, offset: tape.add(nominal, scaled(tape, shifting.offset, shift)) };
    // (reach + e)·cos(J + δ)
    const { jigAngle, reach } = face.cut;
    const jigCosine = tape.dot([Math.cos(jigAngle), -Math.sin(jigAngle)], [cosine, sine]);
    return { ...turned, offset: tape.multiply(tape.add(tape.constant(reach), shift), jigCosine) };
  });
  return cell.depth === undefined ? middle : leaning(tape, model, errors, middle);
}

/** The seated faces of a cell with a depth: each cut leaning outward at the front, and once more at the back. */
function leaning(
  tape: Tape,
  { cell, seated: { face: own } }: CellModel,
  errors: readonly Value[],
  middle: readonly TapeFace[],
): TapeFace[] {
  const { indexOf } = errorLayout(cell);
  return Array.from(own, (index, seated): TapeFace => {
    const face = at(middle, index);
    const { cut, body } = at(cell.faces, index);
    if (!cut) return face;
    const lean = at(errors, indexOf("lean", at(cell.pieces, body).name, cut.face));
    const z = sideDepth(cell, seated === index ? "front" : "back");
    return { ...face, offset: tape.add(face.offset, scaled(tape, z, lean)) };
  });
}

const scaled = (tape: Tape, factor: number, value: Value): Value =>
  tape.multiply(tape.constant(factor), value);
