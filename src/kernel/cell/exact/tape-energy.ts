import type { SeatingModel } from "../../../seating/seating-model.js";
import { smallAngle } from "../../tape/small-angle.js";
import type { Tape } from "../../tape/tape.js";
import type { Test, Value } from "../../tape/value.js";
import type { Contacts } from "./contacts.js";
import type { ExactPlaces } from "./places.js";

/** Largest turn of a body, rad, that is followed here; a step on the way to a rest may overshoot far beyond those of any rest. */
const LARGEST_TURN = 0.5;

/** One side of a contact, on a body at some pose: the derivatives of its move towards its mate. */
export interface SideThere {
  readonly body: number;
  readonly facet: number;
  /** By the body's x and y, the same at every probe; by its turn, for each. */
  readonly byX: Value;
  readonly byY: Value;
  readonly byTurn: readonly Value[];
  /** The nominal normal out of it, offset / cosine and tangent of its turn: what second derivatives are made of besides. */
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

/** The energy ½ Σ w·k(g)·g² with the bodies at some pose, its derivatives, and what its second ones are made of. */
export interface EnergyThere {
  readonly gap: readonly Value[];
  readonly pressed: readonly Test[];
  readonly energy: Value;
  readonly gradient: readonly Value[];
  readonly contacts: readonly ContactThere[];
  /** Whether every turn is small enough for the series. */
  readonly inRange: Test;
}

/** What is known of the cell and of where a trial's numbers lie. */
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
 * with ρ from the face's origin to the probe, n the nominal normal, n⊥ that turned by +90° and c the face's offset; the gap is minus the sum of both sides.
 * With A = ∂h/∂φ = tan φ · c/cos φ − n⊥·(ρ − d)/cos² φ:  ∂h/∂d = n + tan φ · n⊥,  ∂²h/∂φ² = c/cos φ + 2·tan φ·A,  ∂²h/∂φ∂d = n⊥/cos² φ.
 */
export function tapeEnergy(tape: Tape, cell: ExactCell, pose: readonly Value[]): EnergyThere {
  const { seating, contacts, places } = cell;
  const { turned, inRange } = turnedFacets(tape, cell, pose);
  const gap = new Array<Value>(seating.weight.length).fill(tape.zero);
  const sidesOf = contacts.contacts.map(({ probes, sides }) =>
    sides.flatMap(({ facet, body, nx, ny, out, along }): SideThere[] => {
      if (body < 0) {
        for (const probe of probes) gap[probe] = tape.subtract(gap[probe]!, tape.load(places.fixed + probe));
        return [];
      }
      const { tangent, reach, secantSquared } = turned[facet]!;
      const [x, y] = [pose[3 * body]!, pose[3 * body + 1]!];
      const outward = tape.add(reach, tape.dot([nx, ny], [x, y]));
      const sideways = tape.dot([-ny, nx], [x, y]);
      const lever = along.map((a) => tape.subtract(tape.constant(a), sideways));
      for (const [k, probe] of probes.entries()) {
        const straight = tape.subtract(outward, tape.constant(out[k]!));
        const moved = tape.subtract(straight, tape.multiply(tangent, lever[k]!));
        gap[probe] = tape.subtract(gap[probe]!, moved);
      }
      const whole = tape.multiply(reach, tangent);
      return [
        {
          ...{ body, facet, nx, ny, reach, tangent },
          byX: tape.dot([1, -ny], [tape.constant(nx), tangent]),
          byY: tape.dot([1, nx], [tape.constant(ny), tangent]),
          byTurn: lever.map((l) => tape.subtract(whole, tape.multiply(secantSquared, l))),
        },
      ];
    }),
  );
  const pressed = pressedProbes(tape, cell, gap);
  const spring = pressed.map((test, i) => {
    const weight = seating.weight[i]!;
    return tape.pick(test, tape.constant(cell.pressRatio * weight), tape.constant(weight));
  });
  const pull = gap.map((g, i) => tape.negate(tape.multiply(spring[i]!, g)));
  const there = contacts.contacts.map(({ probes }, c) => ({
    probes,
    sides: sidesOf[c]!,
    spring: probes.map((i) => spring[i]!),
    pull: probes.map((i) => pull[i]!),
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

/** tan(a + b) and 1/cos(a + b) of every facet on a body, from those of its error and of the body's turn. */
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
    const { tangent, secant } = bodies[body]!;
    const share = tape.divide(one, tape.subtract(one, tape.multiply(own, tangent)));
    const sum = tape.multiply(tape.add(own, tangent), share);
    const reach = tape.multiply(tape.load(places.reach + k), tape.multiply(secant, share));
    return { tangent: sum, reach, secantSquared: tape.add(one, tape.multiply(sum, sum)) };
  });
  const limit = tape.constant(LARGEST_TURN);
  const inRange = tape.all(turns.map((turn) => tape.atMost(tape.absolute(turn), limit)));
  return { turned, inRange };
}

/** The signs of the gaps; one within rounding of zero keeps the sign it had. */
const pressedProbes = (tape: Tape, { bound }: ExactCell, gap: readonly Value[]): Test[] =>
  gap.map((g, i) => tape.less(g, tape.load(bound + i)));

/** Derivatives of the energy by the poses. */
function forces(tape: Tape, size: number, contacts: readonly ContactThere[]): Value[] {
  const gradient = new Array<Value>(size).fill(tape.zero);
  for (const { sides, pull } of contacts) {
    const whole = tape.sum(pull);
    for (const { body, byX, byY, byTurn } of sides) {
      const own = [tape.multiply(whole, byX), tape.multiply(whole, byY), tape.dot(byTurn, pull)];
      for (const [c, force] of own.entries()) {
        gradient[3 * body + c] = tape.add(gradient[3 * body + c]!, force);
      }
    }
  }
  return gradient;
}
