import type { Tape } from "../../tape/tape.js";
import type { Value } from "../../tape/value.js";
import type { ContactThere, SideThere } from "./tape-energy.js";

/**
 * Second derivatives of the energy by the poses, a symmetric matrix: Σ w·k · ∂g·∂gᵀ, which never curves downwards,
 * and with `curved` Σ w·k·g · ∂²g, which is nothing between bodies.
 */
export function tapeHessian(
  tape: Tape,
  size: number,
  contacts: readonly ContactThere[],
  curved: boolean,
): Value[][] {
  const matrix = Array.from({ length: size }, () => new Array<Value>(size).fill(tape.zero));
  for (const contact of contacts) {
    for (const side of contact.sides) {
      addOwn(tape, matrix, contact, side);
      if (curved) addCurvature(tape, matrix, contact, side);
    }
    const [a, b] = contact.sides;
    if (a !== undefined && b !== undefined) addBetween(tape, matrix, contact, a, b);
  }
  return matrix;
}

function addTo(tape: Tape, matrix: Value[][], row: number, column: number, value: Value): void {
  const sum = tape.add(matrix[row]![column]!, value);
  matrix[row]![column] = sum;
  matrix[column]![row] = sum;
}

function addOwn(tape: Tape, matrix: Value[][], { spring }: ContactThere, side: SideThere): void {
  const { body, byX, byY, byTurn } = side;
  const [x, y, turn] = [3 * body, 3 * body + 1, 3 * body + 2];
  const stiffness = tape.sum(spring);
  const [stiffX, stiffY] = [tape.multiply(stiffness, byX), tape.multiply(stiffness, byY)];
  const twist = tape.dot(byTurn, spring);
  addTo(tape, matrix, x, x, tape.multiply(stiffX, byX));
  addTo(tape, matrix, y, x, tape.multiply(stiffX, byY));
  addTo(tape, matrix, y, y, tape.multiply(stiffY, byY));
  addTo(tape, matrix, turn, x, tape.multiply(twist, byX));
  addTo(tape, matrix, turn, y, tape.multiply(twist, byY));
  addTo(tape, matrix, turn, turn, sumOfProducts(tape, spring, byTurn, byTurn));
}

function addBetween(
  tape: Tape,
  matrix: Value[][],
  { spring }: ContactThere,
  a: SideThere,
  b: SideThere,
): void {
  const stiffness = tape.sum(spring);
  const straight = [a.byX, a.byY].map((slope) => tape.multiply(stiffness, slope));
  const [twistA, twistB] = [tape.dot(a.byTurn, spring), tape.dot(b.byTurn, spring)];
  for (const [c, slope] of [b.byX, b.byY].entries()) {
    addTo(tape, matrix, 3 * a.body, 3 * b.body + c, tape.multiply(straight[0]!, slope));
    addTo(tape, matrix, 3 * a.body + 1, 3 * b.body + c, tape.multiply(straight[1]!, slope));
    addTo(tape, matrix, 3 * a.body + 2, 3 * b.body + c, tape.multiply(twistA, slope));
  }
  for (const [c, slope] of [a.byX, a.byY].entries()) {
    addTo(tape, matrix, 3 * a.body + c, 3 * b.body + 2, tape.multiply(twistB, slope));
  }
  addTo(tape, matrix, 3 * a.body + 2, 3 * b.body + 2, sumOfProducts(tape, spring, a.byTurn, b.byTurn));
}

/** By turn and x or y: the normal turned by +90° over cos² φ. By turn twice: reach + 2·tangent·byTurn. */
function addCurvature(tape: Tape, matrix: Value[][], { pull }: ContactThere, side: SideThere): void {
  const { body, byTurn, nx, ny, reach, tangent } = side;
  const turn = 3 * body + 2;
  const whole = tape.sum(pull);
  const secantSquared = tape.add(tape.constant(1), tape.multiply(tangent, tangent));
  const sideways = tape.multiply(whole, secantSquared);
  addTo(tape, matrix, turn, 3 * body, tape.multiply(tape.constant(-ny), sideways));
  addTo(tape, matrix, turn, 3 * body + 1, tape.multiply(tape.constant(nx), sideways));
  const twice = tape.multiply(tape.constant(2), tangent);
  const turning = tape.multiply(twice, tape.dot(byTurn, pull));
  addTo(tape, matrix, turn, turn, tape.add(tape.multiply(whole, reach), turning));
}

const sumOfProducts = (tape: Tape, a: readonly Value[], b: readonly Value[], c: readonly Value[]): Value =>
  tape.sum(a.map((value, k) => tape.multiply(value, tape.multiply(b[k]!, c[k]!))));
