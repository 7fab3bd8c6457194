import { errorLayout, noErrors } from "../../../cutting/error-layout.js";
import { faceResponses } from "../../../cutting/face-states.js";
import { seatedFaces } from "../../../cutting/seated-faces.js";
import type { Cell } from "../../../lattice/cell.js";
import { sideDepth } from "../../../lattice/cell-probes.js";
import { LARGEST_ANGLE_ERROR } from "../../../cutting/error-layout.js";
import { smallAngle } from "../../tape/small-angle.js";
import type { Tape } from "../../tape/tape.js";
import type { Value } from "../../tape/value.js";

/** A face with its errors, before the pieces settle: `seatedStates` on a tape. */
export interface TapeFace {
  /** Sine and cosine of how far it has turned from nominal. */
  readonly sine: Value;
  readonly cosine: Value;
  /** Its distance from its origin, mm. */
  readonly offset: Value;
  /** The angle error that turned it, for its size to be checked; `null` where there is none. */
  readonly turnedBy: Value | null;
}

export function tapeFaces(tape: Tape, cell: Cell, errors: readonly Value[]): TapeFace[] {
  const responses = faceResponses(cell, noErrors(cell));
  const straight = { sine: tape.zero, cosine: tape.constant(1), turnedBy: null };
  const middle = cell.faces.map((face, index): TapeFace => {
    const nominal = tape.constant(face.offset);
    const [turning, shifting] = responses.filter((response) => response.face === index);
    if (!turning) return { ...straight, offset: nominal };
    // A side answers to its piece's thickness alone.
    if (!shifting)
      return { ...straight, offset: tape.add(nominal, scaled(tape, turning.offset, errors[turning.error]!)) };
    const turnedBy = errors[turning.error]!;
    const shift = errors[shifting.error]!;
    const { sine, cosine } = smallAngle(tape, turnedBy, LARGEST_ANGLE_ERROR);
    const turned = { sine: scaled(tape, turning.angle, sine), cosine, turnedBy };
    if (!face.cut) return { ...turned, offset: tape.add(nominal, scaled(tape, shifting.offset, shift)) };
    // (reach + e)·cos(J + δ)
    const { jigAngle, reach } = face.cut;
    const jigCosine = tape.dot([Math.cos(jigAngle), -Math.sin(jigAngle)], [cosine, sine]);
    return { ...turned, offset: tape.multiply(tape.add(tape.constant(reach), shift), jigCosine) };
  });
  return cell.depth === undefined ? middle : leaning(tape, cell, errors, middle);
}

/** The seated faces of a cell with a depth: each cut leaning outward at the front, and once more at the back. */
function leaning(tape: Tape, cell: Cell, errors: readonly Value[], middle: readonly TapeFace[]): TapeFace[] {
  const { indexOf } = errorLayout(cell);
  return Array.from(seatedFaces(cell).face, (index, seated): TapeFace => {
    const face = middle[index]!;
    const { cut, body } = cell.faces[index]!;
    if (!cut) return face;
    const lean = errors[indexOf("lean", cell.pieces[body]!.name, cut.face)]!;
    const z = sideDepth(cell, seated === index ? "front" : "back");
    return { ...face, offset: tape.add(face.offset, scaled(tape, z, lean)) };
  });
}

const scaled = (tape: Tape, factor: number, value: Value): Value =>
  tape.multiply(tape.constant(factor), value);
