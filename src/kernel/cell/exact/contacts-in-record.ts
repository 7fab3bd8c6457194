import type { Tape } from "../../tape/tape.js";
import type { ExactPlaces } from "./places.js";
import type { ContactThere, ExactCell } from "./tape-energy.js";

/** Hands what second derivatives are made of from the routine that evaluates it to those that use it. */
export function storeContacts(tape: Tape, contacts: readonly ContactThere[], places: ExactPlaces): void {
  let slopes = places.slopes;
  for (const { probes, sides, spring, pull } of contacts) {
    for (const [k, probe] of probes.entries()) {
      tape.store(places.spring + probe, spring[k]!);
      tape.store(places.pull + probe, pull[k]!);
    }
    for (const { facet, byX, byY, byTurn, tangent, reach } of sides) {
      for (const slope of [byX, byY, ...byTurn]) tape.store(slopes++, slope);
      tape.store(places.tangentThere + facet, tangent);
      tape.store(places.reachThere + facet, reach);
    }
  }
}

/** The same, read back. */
export function loadContacts(tape: Tape, { contacts, places }: ExactCell): ContactThere[] {
  let slopes = places.slopes;
  const next = () => tape.load(slopes++);
  return contacts.contacts.map(({ probes, sides }) => ({
    probes,
    spring: probes.map((probe) => tape.load(places.spring + probe)),
    pull: probes.map((probe) => tape.load(places.pull + probe)),
    sides: sides
      .filter(({ body }) => body >= 0)
      .map(({ body, facet, nx, ny }) => ({
        ...{ body, facet, nx, ny },
        byX: next(),
        byY: next(),
        byTurn: probes.map(next),
        tangent: tape.load(places.tangentThere + facet),
        reach: tape.load(places.reachThere + facet),
      })),
  }));
}
