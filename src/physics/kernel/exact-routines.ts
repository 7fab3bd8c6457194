import { at } from "../../core/numeric/dense.js";
import { LARGEST_ANGLE_ERROR } from "../../model/cell/cell-errors.js";
import type { CellModel } from "../predict/cell-model.js";
import { SIGN_BAND } from "../seating/energy.js";
import { type Contacts, contactsOf, type ExactPlaces, exactPlaces, tapeFaces } from "./exact-contacts.js";
import { type ContactThere, type ExactCell, tapeEnergy, tapeHessian } from "./exact-energy.js";
import { coordinateOrder, type FirstOrderRoutines } from "./first-order-routines.js";
import { type Routine, solveSymmetric, Tape, type Value } from "./tape.js";
import { type RecordPlan, type TrialInputs, tapeErrors } from "./trial-record.js";

/** The routines of exact order. */
export type ExactRoutineName = "begin" | "evaluate" | "newton" | "gauss" | "hessian" | "evaluateShare";

export function exactRoutines(
  model: CellModel,
  inputs: TrialInputs,
  pressRatio: number,
  first: FirstOrderRoutines,
  plan: RecordPlan,
): { places: ExactPlaces; routines: Record<ExactRoutineName, Routine> } {
  const { seating } = model;
  const contacts = contactsOf(seating);
  const places = exactPlaces(seating, contacts, plan);
  const { gap, bound } = first.places;
  const cell: ExactCell = { seating, contacts, pressRatio, places, bound };
  return {
    places,
    routines: {
      begin: beginRoutine(model, inputs, contacts, first, places),
      evaluate: evaluateRoutine(cell, gap),
      newton: stepRoutine("newton", cell, gap),
      gauss: stepRoutine("gauss", cell, gap),
      hessian: hessianRoutine(cell, plan.words),
      evaluateShare: evaluateShareRoutine(cell),
    },
  };
}

/** Computes the exact faces and the initial poses from the draws and the first-order equilibrium; returns whether every angle error is small enough for the series. */
function beginRoutine(
  model: CellModel,
  inputs: TrialInputs,
  { facets, contacts }: Contacts,
  first: FirstOrderRoutines,
  places: ExactPlaces,
): Routine {
  const tape = new Tape();
  const drawn = Array.from({ length: inputs.draws }, (_, k) => tape.load(first.places.draws + k));
  const faces = tapeFaces(tape, model, tapeErrors(tape, inputs, drawn));
  const turned = facets.map(({ face, tilt }) => {
    const { sine, cosine, offset } = at(faces, face);
    const secant = tape.divide(tape.constant(1), tape.dot([Math.cos(tilt), -Math.sin(tilt)], [cosine, sine]));
    return {
      tangent: tape.multiply(tape.dot([Math.cos(tilt), Math.sin(tilt)], [sine, cosine]), secant),
      reach: tape.multiply(offset, secant),
    };
  });
  for (const [k, { tangent, reach }] of turned.entries()) {
    if (at(facets, k).body < 0) continue;
    tape.store(places.tangent + k, tangent);
    tape.store(places.reach + k, reach);
  }
  for (const { probes, sides } of contacts) {
    for (const { facet, body, out, along } of sides) {
      if (body >= 0) continue;
      const { tangent, reach } = at(turned, facet);
      for (const [k, probe] of probes.entries()) {
        const height = tape.subtract(reach, tape.constant(at(out, k)));
        const moved = tape.subtract(height, tape.multiply(tape.constant(at(along, k)), tangent));
        tape.store(places.fixed + probe, moved);
      }
    }
  }
  for (const [body, rows] of first.own.toPose.entries()) {
    const own = [0, 1, 2].map((k) => tape.load(first.places.own! + 3 * body + k));
    for (const [k, row] of rows.entries()) tape.store(places.pose + 3 * body + k, tape.dot(row, own));
  }
  for (let c = 0; c < 3 * model.seating.bodies; c++) tape.store(places.step + c, tape.zero);
  // The initial poses are accepted without a test, and every probe starts as open.
  tape.store(places.energy, tape.constant(Number.POSITIVE_INFINITY));
  tape.store(places.slope, tape.zero);
  for (const i of model.seating.weight.keys()) tape.store(first.places.bound + i, tape.constant(-SIGN_BAND));
  const limit = tape.constant(LARGEST_ANGLE_ERROR);
  const angles = faces.flatMap(({ turnedBy }) => (turnedBy === null ? [] : [turnedBy]));
  tape.answer(tape.all(angles.map((angle) => tape.atMost(tape.absolute(angle), limit))));
  return tape.finish("begin");
}

/** A full step is accepted if the absolute slope of the energy along it has fallen to at most this share, … */
const SLOPE_FALL = 0.9;
/** … and the energy has not increased by more than this share. This is the same rule as in `stepShare`. */
const LEVEL = 1e-9;
/** A trial has converged when the full step would change no gap by more than this, mm. */
const STILL = 1e-10;
/** A pivot counts as positive if it exceeds this share of its original diagonal element. */
const SMALLEST_PIVOT = 1e-14;

/** Positions of the two tests that each routine returns. */
export const Evaluated = { InRange: 0, Taken: 1 } as const;
export const Stepped = { Held: 0, Still: 1 } as const;

/**
 * Evaluates the energy and its derivatives at the end of the proposed step. Returns whether every turn was in range, and whether the step is accepted; if it is, the poses move to its end, otherwise they stay.
 */
function evaluateRoutine(cell: ExactCell, gap: number): Routine {
  const { seating, places, bound } = cell;
  const tape = new Tape();
  const size = 3 * seating.bodies;
  const before = loads(tape, places.pose, size);
  const step = loads(tape, places.step, size);
  const pose = before.map((q, c) => tape.add(q, at(step, c)));
  const there = tapeEnergy(tape, cell, pose);
  const slope = tape.dot(there.gradient, step);
  const fall = tape.multiply(tape.constant(SLOPE_FALL), tape.absolute(tape.load(places.slope)));
  const energyBefore = tape.load(places.energy);
  const ceiling = tape.multiply(tape.constant(1 + LEVEL), energyBefore);
  const taken = tape.both(tape.atMost(slope, fall), tape.atMost(there.energy, ceiling));
  for (const [c, q] of pose.entries()) tape.store(places.pose + c, tape.pick(taken, q, at(before, c)));
  tape.store(places.energy, tape.pick(taken, there.energy, energyBefore));
  tape.store(places.energyThere, there.energy);
  tape.store(places.slopeThere, slope);
  const [pressed, open] = [tape.constant(SIGN_BAND), tape.constant(-SIGN_BAND)];
  for (const [i, test] of there.pressed.entries()) tape.store(bound + i, tape.pick(test, pressed, open));
  for (const [i, g] of there.gap.entries()) tape.store(gap + i, g);
  for (const [c, f] of there.gradient.entries()) tape.store(places.gradient + c, f);
  storeContacts(tape, there.contacts, places);
  tape.answer(there.inRange);
  tape.answer(taken);
  return tape.finish("evaluate");
}

/** Energy and slope at a share of the step; returns whether every turn was in range. */
function evaluateShareRoutine(cell: ExactCell): Routine {
  const { seating, places } = cell;
  const tape = new Tape();
  const size = 3 * seating.bodies;
  const share = tape.load(places.share);
  const step = loads(tape, places.step, size);
  const pose = loads(tape, places.pose, size).map((q, c) => tape.add(q, tape.multiply(share, at(step, c))));
  const { energy, gradient, inRange } = tapeEnergy(tape, cell, pose);
  tape.store(places.energyThere, energy);
  tape.store(places.slopeThere, tape.dot(gradient, step));
  tape.answer(inRange);
  return tape.finish("evaluateShare");
}

/**
 * Newton step from the derivatives evaluated last, with the gaps' second derivatives (`newton`) or without (`gauss`). Returns whether the Hessian is positive
 * definite, and whether the step is so short that the trial has converged; the gaps are then those at its end.
 */
function stepRoutine(name: "newton" | "gauss", cell: ExactCell, gap: number): Routine {
  const { seating, places } = cell;
  const tape = new Tape();
  const size = 3 * seating.bodies;
  const contacts = loadContacts(tape, cell);
  const matrix = tapeHessian(tape, size, contacts, name === "newton");
  const gradient = loads(tape, places.gradient, size);
  const downhill = gradient.map((f) => tape.negate(f));
  const { solution, pivots } = solveSymmetric(tape, matrix, downhill, coordinateOrder(seating));
  for (const [c, s] of solution.entries()) tape.store(places.step + c, s);
  tape.store(places.slope, tape.dot(gradient, solution));
  const change = new Array<Value>(seating.weight.length).fill(tape.zero);
  for (const { probes, sides } of contacts) {
    for (const { body, byX, byY, byTurn } of sides) {
      const [x, y, turn] = [0, 1, 2].map((c) => at(solution, 3 * body + c)) as [Value, Value, Value];
      const shift = tape.dot([byX, byY], [x, y]);
      for (const [k, probe] of probes.entries()) {
        const moved = tape.add(shift, tape.multiply(at(byTurn, k), turn));
        change[probe] = tape.subtract(at(change, probe), moved);
      }
    }
  }
  let largest = tape.zero;
  for (const [i, by] of change.entries()) {
    tape.store(gap + i, tape.add(tape.load(gap + i), by));
    largest = tape.larger(largest, tape.absolute(by));
  }
  const smallest = tape.constant(SMALLEST_PIVOT);
  const held = pivots.map(({ pivot, diagonal }) =>
    tape.less(tape.multiply(smallest, tape.absolute(diagonal)), pivot),
  );
  tape.answer(tape.all(held));
  tape.answer(tape.atMost(largest, tape.constant(STILL)));
  return tape.finish(name);
}

/** Writes the energy's Hessian, as evaluated last, row-major from `place` on. That is beyond the end of the record, so this may be used only for the last record in memory. */
function hessianRoutine(cell: ExactCell, place: number): Routine {
  const { seating } = cell;
  const tape = new Tape();
  const size = 3 * seating.bodies;
  const matrix = tapeHessian(tape, size, loadContacts(tape, cell), true);
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      tape.store(place + row * size + column, at(at(matrix, row), column));
    }
  }
  return tape.finish("hessian");
}

const loads = (tape: Tape, place: number, count: number): Value[] =>
  Array.from({ length: count }, (_, k) => tape.load(place + k));

/** Stores the quantities needed for second derivatives, for the routines that use them. */
function storeContacts(tape: Tape, contacts: readonly ContactThere[], places: ExactPlaces): void {
  let slopes = places.slopes;
  for (const { probes, sides, spring, pull } of contacts) {
    for (const [k, probe] of probes.entries()) {
      tape.store(places.spring + probe, at(spring, k));
      tape.store(places.pull + probe, at(pull, k));
    }
    for (const { facet, byX, byY, byTurn, tangent, reach } of sides) {
      for (const slope of [byX, byY, ...byTurn]) tape.store(slopes++, slope);
      tape.store(places.tangentThere + facet, tangent);
      tape.store(places.reachThere + facet, reach);
    }
  }
}

/** Loads the same quantities. */
function loadContacts(tape: Tape, { contacts, places }: ExactCell): ContactThere[] {
  let slopes = places.slopes;
  const next = () => tape.load(slopes++);
  return contacts.contacts.map(({ probes, sides }) => ({
    probes,
    spring: probes.map((probe) => tape.load(places.spring + probe)),
    pull: probes.map((probe) => tape.load(places.pull + probe)),
    sides: sides
      .filter(({ body }) => body >= 0)
      .map(({ body, facet, nx, ny }) => ({
        body,
        facet,
        nx,
        ny,
        byX: next(),
        byY: next(),
        byTurn: probes.map(next),
        tangent: tape.load(places.tangentThere + facet),
        reach: tape.load(places.reachThere + facet),
      })),
  }));
}
