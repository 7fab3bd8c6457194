import { SIGN_BAND } from "../../../seating/energy.js";
import { solveSymmetric } from "../../tape/solve-symmetric.js";
import { Tape } from "../../tape/tape.js";
import type { Routine, Value } from "../../tape/value.js";
import { coordinateOrder } from "../elimination-order.js";
import { loadContacts, storeContacts } from "./contacts-in-record.js";
import { type ExactCell, tapeEnergy } from "./tape-energy.js";
import { tapeHessian } from "./tape-hessian.js";

/** A full step is kept when the slope of the energy along it has fallen to this share or less, either way, … */
const SLOPE_FALL = 0.9;
/** … and the energy has not risen by more than this share. The same rule as `settleShare`. */
const LEVEL = 1e-9;
/** A trial is at rest when the full step would change no gap by more than this, mm. */
const STILL = 1e-10;
/** A pivot counts as positive above this share of the diagonal element that it began as. */
const SMALLEST_PIVOT = 1e-14;

/** Places of the two tests that each routine answers. */
export const Evaluated = { InRange: 0, Taken: 1 } as const;
export const Stepped = { Held: 0, Still: 1 } as const;

/**
 * Energy and its derivatives at the end of the step under trial. Answers whether every turn was in range and whether the step is taken: then the poses are those at its end; else they stay.
 */
export function evaluateRoutine(cell: ExactCell, gap: number): Routine {
  const { seating, places, bound } = cell;
  const tape = new Tape();
  const size = 3 * seating.bodies;
  const before = loads(tape, places.pose, size);
  const step = loads(tape, places.step, size);
  const pose = before.map((q, c) => tape.add(q, step[c]!));
  const there = tapeEnergy(tape, cell, pose);
  const slope = tape.dot(there.gradient, step);
  const fall = tape.multiply(tape.constant(SLOPE_FALL), tape.absolute(tape.load(places.slope)));
  const energyBefore = tape.load(places.energy);
  const ceiling = tape.multiply(tape.constant(1 + LEVEL), energyBefore);
  const taken = tape.both(tape.atMost(slope, fall), tape.atMost(there.energy, ceiling));
  for (const [c, q] of pose.entries()) tape.store(places.pose + c, tape.pick(taken, q, before[c]!));
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

/** Energy and slope at a share of the step; answers whether every turn was in range. */
export function lookRoutine(cell: ExactCell): Routine {
  const { seating, places } = cell;
  const tape = new Tape();
  const size = 3 * seating.bodies;
  const share = tape.load(places.share);
  const step = loads(tape, places.step, size);
  const pose = loads(tape, places.pose, size).map((q, c) => tape.add(q, tape.multiply(share, step[c]!)));
  const { energy, gradient, inRange } = tapeEnergy(tape, cell, pose);
  tape.store(places.energyThere, energy);
  tape.store(places.slopeThere, tape.dot(gradient, step));
  tape.answer(inRange);
  return tape.finish("look");
}

/**
 * Newton's step from the derivatives that were evaluated last, with the gaps' second derivatives (`newton`) or without (`gauss`). Answers whether the energy curves upwards in every
 * direction, and whether the step is so short that the trial is at rest; the gaps are then those at its end.
 */
export function stepRoutine(name: "newton" | "gauss", cell: ExactCell, gap: number): Routine {
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
      const [x, y, turn] = [0, 1, 2].map((c) => solution[3 * body + c]!) as [Value, Value, Value];
      const shift = tape.dot([byX, byY], [x, y]);
      for (const [k, probe] of probes.entries()) {
        const moved = tape.add(shift, tape.multiply(byTurn[k]!, turn));
        change[probe] = tape.subtract(change[probe]!, moved);
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

/** Writes the energy's second derivatives, as they were evaluated last, row-major from `place` on: behind the record, so it is for the last record of the memory only. */
export function hessianRoutine(cell: ExactCell, place: number): Routine {
  const { seating } = cell;
  const tape = new Tape();
  const size = 3 * seating.bodies;
  const matrix = tapeHessian(tape, size, loadContacts(tape, cell), true);
  for (let row = 0; row < size; row++) {
    for (let column = 0; column < size; column++) {
      tape.store(place + row * size + column, matrix[row]![column]!);
    }
  }
  return tape.finish("hessian");
}

const loads = (tape: Tape, place: number, count: number): Value[] =>
  Array.from({ length: count }, (_, k) => tape.load(place + k));
