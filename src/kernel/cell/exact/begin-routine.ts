import type { CellModel } from "../../../predict/cell-model.js";
import { LARGEST_ANGLE_ERROR } from "../../../cutting/error-layout.js";
import { SIGN_BAND } from "../../../seating/energy.js";
import { Tape } from "../../tape/tape.js";
import type { Routine } from "../../tape/value.js";
import type { FirstOrderRoutines } from "../first-order-routines.js";
import { type TrialInputs, tapeErrors } from "../trial-inputs.js";
import type { Contacts } from "./contacts.js";
import type { ExactPlaces } from "./places.js";
import { tapeFaces } from "./tape-faces.js";

/** From the draws and the first-order rest to the exact faces and the first poses; answers whether every angle error is small enough for the series. */
export function beginRoutine(
  model: CellModel,
  inputs: TrialInputs,
  { facets, contacts }: Contacts,
  first: FirstOrderRoutines,
  places: ExactPlaces,
): Routine {
  const tape = new Tape();
  const drawn = Array.from({ length: inputs.draws }, (_, k) => tape.load(first.places.draws + k));
  const faces = tapeFaces(tape, model.cell, tapeErrors(tape, inputs, drawn));
  const turned = facets.map(({ face, tilt }) => {
    const { sine, cosine, offset } = faces[face]!;
    const secant = tape.divide(tape.constant(1), tape.dot([Math.cos(tilt), -Math.sin(tilt)], [cosine, sine]));
    return {
      tangent: tape.multiply(tape.dot([Math.cos(tilt), Math.sin(tilt)], [sine, cosine]), secant),
      reach: tape.multiply(offset, secant),
    };
  });
  for (const [k, { tangent, reach }] of turned.entries()) {
    if (facets[k]!.body < 0) continue;
    tape.store(places.tangent + k, tangent);
    tape.store(places.reach + k, reach);
  }
  for (const { probes, sides } of contacts) {
    for (const { facet, body, out, along } of sides) {
      if (body >= 0) continue;
      const { tangent, reach } = turned[facet]!;
      for (const [k, probe] of probes.entries()) {
        const height = tape.subtract(reach, tape.constant(out[k]!));
        const moved = tape.subtract(height, tape.multiply(tape.constant(along[k]!), tangent));
        tape.store(places.fixed + probe, moved);
      }
    }
  }
  for (const [body, rows] of first.own.toPose.entries()) {
    const own = [0, 1, 2].map((k) => tape.load(first.places.own! + 3 * body + k));
    for (const [k, row] of rows.entries()) tape.store(places.pose + 3 * body + k, tape.dot(row, own));
  }
  for (let c = 0; c < 3 * model.seating.bodies; c++) tape.store(places.step + c, tape.zero);
  // The first poses are taken as they are, and every probe starts as open.
  tape.store(places.energy, tape.constant(Number.POSITIVE_INFINITY));
  tape.store(places.slope, tape.zero);
  for (const i of model.seating.weight.keys()) tape.store(first.places.bound + i, tape.constant(-SIGN_BAND));
  const limit = tape.constant(LARGEST_ANGLE_ERROR);
  const angles = faces.flatMap(({ turnedBy }) => (turnedBy === null ? [] : [turnedBy]));
  tape.answer(tape.all(angles.map((angle) => tape.atMost(tape.absolute(angle), limit))));
  return tape.finish("begin");
}
