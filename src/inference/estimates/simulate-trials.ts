import { at } from "../../core/numeric/dense.js";
import { createStream, type RandomStream } from "../../core/numeric/random-stream.js";
import type { Job } from "../../model/job/job.js";
import { closedBelow, closedGap, type Instrument, type Reading } from "../../model/readings.js";
import { indexOfSource } from "../../model/sources.js";
import { JobCells, readValues } from "../likelihood/read-specimen.js";
import { instrumentOf } from "../likelihood/reading-likelihood.js";
import {
  addOwnErrors,
  cutToCutNames,
  errorsFrom,
  groupReadings,
  jobSources,
} from "../likelihood/specimen.js";

/** True errors and random stream of a simulated shop. */
export interface SimulateOptions {
  /** True values of the shared sources, in the order of `jobSources(job)`; rad and mm. */
  readonly truth: Float64Array;
  readonly seed: number;
  /** Sub-stream of the seed; default 0. */
  readonly substream?: number;
  /** The job's compiled cells, for reuse over many simulations; compiled anew by default. */
  readonly cells?: JobCells;
}

/**
 * What the planned readings would show in a shop with the given true errors: cut-to-cut errors drawn anew for each piece and shared by all readings of it,
 * the instrument's repeatability, and its steps or leaves. Values or intervals already in the plan are ignored.
 *
 * @example
 * const truth = new Float64Array(jobSources(job).length); // nothing is off
 * simulateTrials(job, readings, { truth, seed: 1 }).length === readings.length // true
 */
export function simulateTrials(
  job: Job,
  plan: readonly Reading[],
  { truth, seed, substream = 0, cells = new JobCells() }: SimulateOptions,
): Reading[] {
  const stream = createStream(seed, substream);
  const drawn = new Map<string, number>();
  const out: Reading[] = [...plan];
  const sources = jobSources(job);
  const biasOf = ({ name, bias }: Instrument): number =>
    bias + (truth[indexOfSource(sources, { kind: "bias", of: name })] ?? 0);
  for (const group of groupReadings(job, plan, cells)) {
    const shared = errorsFrom(group.specimen, truth);
    for (const [k, reading] of group.readings.entries()) {
      const names = cutToCutNames(job, group, reading);
      const errors = shared.slice();
      const own = group.specimen.betweenCutSd.map((sd, i) =>
        sd === 0 ? 0 : drawnOnce(drawn, at(names, i), stream),
      );
      addOwnErrors(group.specimen, own, errors);
      const [expected = Number.NaN] = readValues(group.specimen.reader, errors, [reading], job);
      const instrument = instrumentOf(job, reading);
      const seen = expected + biasOf(instrument) + instrument.repeatability * stream.normal();
      out[at(group.places, k)] = { ...reading, ...asRead(instrument, seen, reading.what) };
    }
  }
  return out;
}

function drawnOnce(drawn: Map<string, number>, name: string, stream: RandomStream): number {
  const known = drawn.get(name);
  if (known !== undefined) return known;
  const value = stream.normal();
  drawn.set(name, value);
  return value;
}

/**
 * What an instrument reports for a true value: the leaves it lies between, or the nearest step. A gap is never below zero: faces that are pressed into each other read as closed.
 */
export function asRead(
  instrument: Instrument,
  seen: number,
  what: Reading["what"],
): Pick<Reading, "value" | "low" | "high"> {
  const { leaves, resolution } = instrument;
  if (leaves.length > 0) {
    return {
      value: null,
      low: leaves.filter((leaf) => leaf <= seen).at(-1) ?? Number.NEGATIVE_INFINITY,
      high: leaves.find((leaf) => leaf > seen) ?? Number.POSITIVE_INFINITY,
    };
  }
  const step = resolution ?? 0;
  if (what === "gap" && seen <= closedBelow(instrument)) return closedGap(instrument);
  return { value: step > 0 ? Math.round(seen / step) * step : seen, low: null, high: null };
}
