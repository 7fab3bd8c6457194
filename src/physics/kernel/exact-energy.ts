import { at } from "../../core/numeric/dense.js";
import type { SeatingModel } from "../seating/seating-model.js";
import type { Contacts, ExactPlaces } from "./exact-contacts.js";
import { smallAngle, type Tape, type Test, type Value } from "./tape.js";

/** Largest turn of a body, rad, that is supported here; a step during the iteration may overshoot far beyond the turns of any equilibrium. */
const LARGEST_TURN = 0.5;

/** One side of a contact, on a body at some pose: the derivatives of its move towards its mate. */
interface SideThere {
  readonly body: number;
  readonly facet: number;
  /** With respect to the body's x and y, the same at every probe; with respect to its turn, one for each probe. */
  readonly byX: Value;
  readonly byY: Value;
  readonly byTurn: readonly Value[];
  /** Its nominal outward normal, and offset / cosine and tangent of its turn: the other quantities needed for second derivatives. */
  readonly nx: number;
  readonly ny: number;
  readonly reach: Value;
  readonly tangent: Value;
}

/** A contact's sides that lie on bodies, with the springs between them. */
export interface ContactThere {
  readonly probes: readonly number[];
  readonly sides: readonly SideThere[];
  /** For each probe, stiffness × stretch, and −spring·gap. */
  readonly spring: readonly Value[];
  readonly pull: readonly Value[];
}

/** The energy ½ Σ w·k(g)·g² with the bodies at some pose, its gradient, and the quantities needed for its Hessian. */
interface EnergyThere {
  readonly gap: readonly Value[];
  readonly pressed: readonly Test[];
  readonly energy: Value;
  readonly gradient: readonly Value[];
  readonly contacts: readonly ContactThere[];
  /** Whether every turn is small enough for the series. */
  readonly inRange: Test;
}

/** The cell's constants and the layout of a trial's numbers. */
export interface ExactCell {
  readonly seating: SeatingModel;
  readonly contacts: Contacts;
  readonly pressRatio: number;
  readonly places: ExactPlaces;
  /** First of the probes' sign memories. */
  readonly bound: number;
}

/**
 * A face turned by φ (its error and its body's turn) on a body moved by d has moved at a probe by
 *     h = c/cos φ − n·(ρ − d) − tan φ · n⊥·(ρ − d)
 * with ρ the vector from the face's origin to the probe, n the nominal normal, n⊥ the normal turned by +90° and c the face's offset; the gap is minus the sum of h over both sides.
 * With A = ∂h/∂φ = tan φ · c/cos φ − n⊥·(ρ − d)/cos² φ:  ∂h/∂d = n + tan φ · n⊥,  ∂²h/∂φ² = c/cos φ + 2·tan φ·A,  ∂²h/∂φ∂d = n⊥/cos² φ.
 */
export function tapeEnergy(tape: Tape, cell: ExactCell, pose: readonly Value[]): EnergyThere {
  const { seating, contacts, places } = cell;
  const { turned, inRange } = turnedFacets(tape, cell, pose);
  const gap = new Array<Value>(seating.weight.length).fill(tape.zero);
  const sidesOf = contacts.contacts.map(({ probes, sides }) =>
    sides.flatMap(({ facet, body, nx, ny, out, along }): SideThere[] => {
      const there = turned[facet];
      if (!there) {
        for (const probe of probes)
          gap[probe] = tape.subtract(at(gap, probe), tape.load(places.fixed + probe));
        return [];
      }
      const { tangent, reach, secantSquared } = there;
      const [x, y] = [at(pose, 3 * body), at(pose, 3 * body + 1)];
      const outward = tape.add(reach, tape.dot([nx, ny], [x, y]));
      const sideways = tape.dot([-ny, nx], [x, y]);
      const lever = along.map((a) => tape.subtract(tape.constant(a), sideways));
      for (const [k, probe] of probes.entries()) {
        const straight = tape.subtract(outward, tape.constant(at(out, k)));
        const moved = tape.subtract(straight, tape.multiply(tangent, at(lever, k)));
        gap[probe] = tape.subtract(at(gap, probe), moved);
      }
      const whole = tape.multiply(reach, tangent);
      return [
        {
          body,
          facet,
          nx,
          ny,
          reach,
          tangent,
          byX: tape.dot([1, -ny], [tape.constant(nx), tangent]),
          byY: tape.dot([1, nx], [tape.constant(ny), tangent]),
          byTurn: lever.map((l) => tape.subtract(whole, tape.multiply(secantSquared, l))),
        },
      ];
    }),
  );
  const pressed = pressedProbes(tape, cell, gap);
  const spring = pressed.map((test, i) => {
    const weight = at(seating.weight, i);
    return tape.pick(test, tape.constant(cell.pressRatio * weight), tape.constant(weight));
  });
  const pull = gap.map((g, i) => tape.negate(tape.multiply(at(spring, i), g)));
  const there = contacts.contacts.map(({ probes }, c) => ({
    probes,
    sides: at(sidesOf, c),
    spring: probes.map((i) => at(spring, i)),
    pull: probes.map((i) => at(pull, i)),
  }));
  const gradient = forces(tape, pose.length, there);
  const energy = tape.multiply(tape.constant(-0.5), tape.dot(pull, gap));
  return { gap, pressed, energy, gradient, contacts: there, inRange };
}

interface TurnedFacet {
  readonly tangent: Value;
  /** Offset / cosine. */
  readonly reach: Value;
  readonly secantSquared: Value;
}

/** tan(a + b) and 1/cos(a + b) of every facet on a body, from those of its error a and of the body's turn b. */
function turnedFacets(
  tape: Tape,
  { contacts: { facets }, places }: ExactCell,
  pose: readonly Value[],
): { turned: (TurnedFacet | null)[]; inRange: Test } {
  const one = tape.constant(1);
  const turns = pose.filter((_, c) => c % 3 === 2);
  const bodies = turns.map((turn) => {
    const { sine, cosine } = smallAngle(tape, turn, LARGEST_TURN);
    const secant = tape.divide(one, cosine);
    return { secant, tangent: tape.multiply(sine, secant) };
  });
  const turned = facets.map(({ body }, k): TurnedFacet | null => {
    if (body < 0) return null;
    const own = tape.load(places.tangent + k);
    const { tangent, secant } = at(bodies, body);
    const share = tape.divide(one, tape.subtract(one, tape.multiply(own, tangent)));
    const sum = tape.multiply(tape.add(own, tangent), share);
    const reach = tape.multiply(tape.load(places.reach + k), tape.multiply(secant, share));
    return { tangent: sum, reach, secantSquared: tape.add(one, tape.multiply(sum, sum)) };
  });
  const limit = tape.constant(LARGEST_TURN);
  const inRange = tape.all(turns.map((turn) => tape.atMost(tape.absolute(turn), limit)));
  return { turned, inRange };
}

/** The signs of the gaps; a gap that is zero within rounding keeps its previous sign. */
const pressedProbes = (tape: Tape, { bound }: ExactCell, gap: readonly Value[]): Test[] =>
  gap.map((g, i) => tape.less(g, tape.load(bound + i)));

/** Gradient of the energy with respect to the poses. */
function forces(tape: Tape, size: number, contacts: readonly ContactThere[]): Value[] {
  const gradient = new Array<Value>(size).fill(tape.zero);
  for (const { sides, pull } of contacts) {
    const whole = tape.sum(pull);
    for (const { body, byX, byY, byTurn } of sides) {
      const own = [tape.multiply(whole, byX), tape.multiply(whole, byY), tape.dot(byTurn, pull)];
      for (const [c, force] of own.entries()) {
        gradient[3 * body + c] = tape.add(at(gradient, 3 * body + c), force);
      }
    }
  }
  return gradient;
}

/**
 * Hessian of the energy with respect to the poses: Σ w·k · ∂g·∂gᵀ, which is positive semi-definite,
 * and with `curved` also Σ w·k·g · ∂²g, which has no entries between different bodies.
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
  const sum = tape.add(at(at(matrix, row), column), value);
  at(matrix, row)[column] = sum;
  at(matrix, column)[row] = sum;
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
    addTo(tape, matrix, 3 * a.body, 3 * b.body + c, tape.multiply(at(straight, 0), slope));
    addTo(tape, matrix, 3 * a.body + 1, 3 * b.body + c, tape.multiply(at(straight, 1), slope));
    addTo(tape, matrix, 3 * a.body + 2, 3 * b.body + c, tape.multiply(twistA, slope));
  }
  for (const [c, slope] of [a.byX, a.byY].entries()) {
    addTo(tape, matrix, 3 * a.body + c, 3 * b.body + 2, tape.multiply(twistB, slope));
  }
  addTo(tape, matrix, 3 * a.body + 2, 3 * b.body + 2, sumOfProducts(tape, spring, a.byTurn, b.byTurn));
}

/** With respect to the turn and x or y: the normal turned by +90°, divided by cos² φ. With respect to the turn twice: reach + 2·tangent·byTurn. */
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
  tape.sum(a.map((value, k) => tape.multiply(value, tape.multiply(at(b, k), at(c, k)))));
