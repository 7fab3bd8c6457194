import { createStream, type RandomStream } from "../../../src/core/numeric/random-stream.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import type { JobCells } from "../../../src/inference/likelihood/read-specimen.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { MISFIT_KINDS, type MisfitKind } from "../../../src/inference/misfit/departure.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Reading } from "../../../src/model/readings.js";
import { indexOfSource } from "../../../src/model/sources.js";

/** The shop is as the model says, or departs from it in one of the ways that a fit can name. */
export const DEPARTURES = ["none", ...MISFIT_KINDS] as const;
export type DepartureName = "none" | MisfitKind;

/** How far the shop departs from the model, mm and rad; each with either sign. */
export const DEPARTING = {
  /** What the instrument for gaps reads too much. */
  bias: 0.03,
  /** How much thicker the other batch is. */
  stock: 0.15,
  /** Change of one ramp from the first row to the last. */
  drift: (0.3 * Math.PI) / 180,
  /** Two readings that differ by at least so much are exchanged: others are not worth noticing. */
  swapped: 0.06,
  /** How many times larger the cut-to-cut errors of one trial are. */
  odd: 8,
  /** How many times larger all scatters are. */
  scatter: 3,
} as const;

/** A departing shop that was simulated. */
export interface Departed {
  readonly readings: readonly Reading[];
  /** The sources at the end of the batch: those that the next cells are cut with. */
  readonly end: Float64Array;
  /** Factor of all scatters in the cells to come. */
  readonly scatter: number;
}

export interface DepartOptions {
  readonly truth: Float64Array;
  readonly seed: number;
  readonly substream: number;
  readonly cells: JobCells;
}

/** What the planned readings would show in a shop that departs from the model; rows are taken as the order of cutting. */
export function simulateDeparture(
  job: Job,
  plan: readonly Reading[],
  departure: DepartureName,
  { truth, seed, substream, cells }: DepartOptions,
): Departed {
  const stream = createStream(seed + 1, substream);
  const sign = stream.uniform() < 0.5 ? -1 : 1;
  const trials = [...new Set(plan.map(({ trial }) => trial))];
  const read = (own: Job, sources: Float64Array): Reading[] =>
    simulateTrials(own, plan, { truth: sources, seed, substream, cells });
  /** The readings of each trial, as its own shop gives them. */
  const each = (readingsOf: (trial: string, k: number) => Reading[]): Reading[] => {
    const byTrial = new Map(trials.map((trial, k) => [trial, readingsOf(trial, k)]));
    return plan.map(({ trial }, i) => byTrial.get(trial)![i]!);
  };
  const shifted = (source: number, by: number): Float64Array => truth.with(source, truth[source]! + by);
  const as = (readings: readonly Reading[], end = truth, scatter = 1): Departed => ({
    readings,
    end,
    scatter,
  });
  switch (departure) {
    case "none":
      return as(read(job, truth));
    case "gauge bias": {
      const gaps = plan.filter(({ what }) => what === "gap").map(({ instrument }) => instrument);
      const biased = gaps[stream.integer(gaps.length)];
      const instruments = job.instruments.map((one) =>
        one.name === biased ? { ...one, bias: one.bias + sign * DEPARTING.bias } : one,
      );
      return as(read({ ...job, instruments }, truth));
    }
    case "mixed stock": {
      const thickness = indexOfSource(jobSources(job), { kind: "thickness", of: "" });
      const other = shifted(thickness, sign * DEPARTING.stock);
      const both = [read(job, truth), read(job, other)];
      // Every second data set changes the batch once; in the others each trial may be of either.
      const once = 1 + stream.integer(trials.length - 1);
      const mixed = stream.uniform() < 0.5;
      const batch = trials.map((_, k) => (mixed ? stream.integer(2) : Number(k >= once)));
      batch[0] = 0;
      batch[trials.length - 1] = 1;
      return as(
        each((_, k) => both[batch[k]!]!),
        other,
      );
    }
    case "drift": {
      const ramps = jobSources(job).flatMap(({ id }, i) => (id.kind === "ramp" && !id.round ? [i] : []));
      const ramp = ramps[stream.integer(ramps.length)]!;
      const by = (k: number): number => (sign * DEPARTING.drift * k) / (trials.length - 1);
      return as(
        each((_, k) => read(job, shifted(ramp, by(k)))),
        shifted(ramp, by(trials.length - 1)),
      );
    }
    case "swapped joint":
      return as(swapped(read(job, truth), stream));
    case "odd trial": {
      const { angle, length, thickness } = job.betweenCutSd;
      const factor = DEPARTING.odd;
      const betweenCutSd = { angle: factor * angle, length: factor * length, thickness: factor * thickness };
      const both = [read(job, truth), read({ ...job, betweenCutSd }, truth)];
      const odd = stream.integer(trials.length);
      return as(each((_, k) => both[Number(k === odd)]!));
    }
    case "larger scatter": {
      const { angle, length, thickness } = job.betweenCutSd;
      const factor = DEPARTING.scatter;
      const betweenCutSd = { angle: factor * angle, length: factor * length, thickness: factor * thickness };
      return as(read({ ...job, betweenCutSd }, truth), truth, factor);
    }
    default:
      return departure satisfies never;
  }
}

/** Exchanges two gaps of one trial, or of one joint of two pieces of a set-up, that differ clearly; where no two do, the two that differ most. */
function swapped(readings: Reading[], stream: RandomStream): Reading[] {
  const middle = ({ value, low, high }: Reading): number => {
    if (value !== null) return value;
    return Number.isFinite(low) && low !== null
      ? (low + (Number.isFinite(high) && high !== null ? high : low)) / 2
      : 0;
  };
  const pairs = readings.flatMap((a, i) =>
    readings.slice(i + 1).flatMap((b, k) => {
      const alike =
        a.what === "gap" &&
        b.what === "gap" &&
        a.instrument === b.instrument &&
        a.bench === b.bench &&
        a.setUp === b.setUp &&
        a.at === b.at &&
        a.round === b.round;
      const exchanged = a.trial === b.trial ? a.subject !== b.subject : a.subject === b.subject;
      return alike && exchanged ? [{ i, j: i + 1 + k, apart: Math.abs(middle(a) - middle(b)) }] : [];
    }),
  );
  const clear = pairs.filter(({ apart }) => apart >= DEPARTING.swapped);
  const chosen =
    clear.length > 0 ? clear[stream.integer(clear.length)] : pairs.toSorted((a, b) => b.apart - a.apart)[0];
  if (!chosen) return readings;
  const [a, b] = [readings[chosen.i]!, readings[chosen.j]!];
  const taking = (own: Reading, { value, low, high }: Reading): Reading => ({ ...own, value, low, high });
  return readings.with(chosen.i, taking(a, b)).with(chosen.j, taking(b, a));
}
