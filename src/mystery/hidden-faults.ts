import { createStream } from "../numeric/random-stream.js";
import type { MysteryKey } from "./mystery-code.js";
import { MYSTERY_STREAMS, MYSTERY_TRUST, mysteryShop } from "./mystery-job.js";

/** Something wrong with a mystery's shop: an error source by name, and its size in rad or mm. */
export interface Fault {
  readonly source: string;
  readonly size: number;
}

const DEGREE = Math.PI / 180;

/** What may be wrong: unit of the size, how far it is trusted in that unit, and the step it is rounded to. */
function sourcesOf(key: MysteryKey) {
  const { ramps, stops } = mysteryShop(key);
  const { ramp, stop, thickness } = MYSTERY_TRUST;
  return [
    ...ramps.map((of) => ({ source: `ramp of ${of}`, unit: DEGREE, trusted: ramp, step: 0.05 })),
    ...stops.map((of) => ({ source: `stop of ${of}`, unit: 1, trusted: stop, step: 0.01 })),
    { source: "thickness of the batch", unit: 1, trusted: thickness, step: 0.01 },
  ];
}

/** Most things that a mystery may have wrong. */
export const MOST_FAULTS = 3;

/** A fault is between these many times what its source is trusted to: large enough to matter, not so large that it is plain. */
const LEAST = 1;
const LARGEST = 2.5;

/** What is wrong in a mystery, in the order of its sources. The same key has the same faults. */
export function hiddenFaults(key: MysteryKey): Fault[] {
  const { seed, faults } = key;
  const stream = createStream(seed, MYSTERY_STREAMS.faults);
  const sources = sourcesOf(key);
  const left = [...sources.keys()];
  const chosen = Array.from({ length: faults }, () => left.splice(stream.integer(left.length), 1)[0]!);
  return chosen
    .sort((a, b) => a - b)
    .map((k) => {
      const { source, unit, trusted, step } = sources[k]!;
      const size = trusted * (LEAST + (LARGEST - LEAST) * stream.uniform());
      const sign = stream.uniform() < 0.5 ? -1 : 1;
      return { source, size: sign * Number((Math.round(size / step) * step).toFixed(2)) * unit };
    });
}
