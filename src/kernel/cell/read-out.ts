import { Tape } from "../tape/tape.js";
import type { Routine } from "../tape/value.js";
import type { RecordPlan } from "./record.js";

/** Where a trial's results lie: its largest opening and its deepest overlap, mm, both ≥ 0. */
export interface ReadOutPlaces {
  readonly worstGap: number;
  readonly worstPress: number;
}

/** Reads the worst gap and the worst press off the first `probes` gaps of a record. */
export function readOutRoutine(
  gap: number,
  probes: number,
  plan: RecordPlan,
): { places: ReadOutPlaces; routine: Routine } {
  const places = { worstGap: plan.take(1), worstPress: plan.take(1) };
  const tape = new Tape();
  let [largest, deepest] = [tape.zero, tape.zero];
  for (let i = 0; i < probes; i++) {
    const here = tape.load(gap + i);
    largest = tape.larger(largest, here);
    deepest = tape.larger(deepest, tape.negate(here));
  }
  tape.store(places.worstGap, largest);
  tape.store(places.worstPress, deepest);
  return { places, routine: tape.finish("readOut") };
}
