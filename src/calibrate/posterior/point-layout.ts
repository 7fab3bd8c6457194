import { errorLayout } from "../../cutting/error-layout.js";
import type { SeatingKernel } from "../../kernel/create-kernel.js";
import type { Reading } from "../../readings/reading.js";
import { readingLikelihood } from "../../readings/reading-likelihood.js";
import { keptKernel } from "../kept-kernel.js";
import type { Likelihood } from "../maximise-likelihood.js";
import { linearReading, probesMeant } from "../read-specimen.js";
import type { Specimen } from "../specimen.js";
import type { TrialBlock } from "../trial-blocks.js";
import type { LatentLaw } from "./latent-law.js";

/** Where the numbers of one trial lie in a point; all are differences from the frame's centre. */
export interface TrialPlaces {
  readonly law: LatentLaw;
  /** d of the trial's law, and A·d. */
  readonly own: number;
  readonly seen: number;
  /** The cut-to-cut errors u, and what they are at the centre. */
  readonly latents: number;
  readonly centre: Float64Array;
}

/** What is read of one specimen. */
export interface PartPlaces {
  readonly trial: TrialPlaces;
  readonly specimen: Specimen;
  /** For each elementary error its cut-to-cut error in the trial, −1 where it has none. */
  readonly latent: Int32Array;
  /** The elementary errors that its readings depend on; their place in a point, and what they are at the centre. */
  readonly entries: Int32Array;
  readonly errors: number;
  readonly centre: Float64Array;
  /** Seats the specimen where gaps are read on it. */
  readonly kernel: SeatingKernel | null;
  readonly readings: readonly PartReading[];
}

/** A reading as a function of the errors. */
export interface PartReading {
  readonly logLikelihood: (mu: number) => number;
  /** Probes the widest of which is read; `null` for a reading that is linear in the errors. */
  readonly probes: readonly number[] | null;
  readonly nominal: number;
  /** By each of the part's entries. */
  readonly slopes: Float64Array;
  /** What the instrument adds: a known part, and the source that is the unknown part, −1 for none. */
  readonly shift: number;
  readonly column: number;
}

export interface PointLayout {
  readonly trials: readonly TrialPlaces[];
  readonly parts: readonly PartPlaces[];
  readonly length: number;
}

/** Lays a point out: the sources first, then every trial's numbers, then every specimen's elementary errors. */
export function pointLayout(
  { blocks, job, sources }: Likelihood,
  mean: Float64Array,
  laws: readonly LatentLaw[],
): PointLayout {
  let length = sources.length;
  const room = (count: number): number => {
    length += count;
    return length - count;
  };
  const trials = laws.map((law): TrialPlaces => {
    const own = room(law.latents);
    // Where nothing is told u differs from its centre by d itself.
    const [seen, latents] = law.told ? [room(law.readings), room(law.latents)] : [own, own];
    return { law, own, seen, latents, centre: centreOf(law, mean) };
  });
  const parts = blocks.flatMap((block, b) => {
    let row = 0;
    return block.parts.map(({ specimen, readings, latent }): PartPlaces => {
      const trial = trials[b]!;
      const gaps = readings.some(({ what }) => what === "gap");
      const read = readings.map((reading) => partReading(specimen, reading, block, row++, job));
      const entries = gaps ? allEntries(specimen) : entriesRead(read);
      const all = errorsAt(specimen, latent, mean, trial.centre, sources);
      return {
        ...{ trial, specimen, latent, entries },
        errors: room(entries.length),
        centre: Float64Array.from(entries, (e) => all[e]!),
        kernel: gaps ? keptKernel(specimen.cell, job.order, job.pressRatio) : null,
        readings: read.map((one) => ({
          ...one,
          slopes: one.probes ? one.slopes : Float64Array.from(entries, (e) => one.slopes[e]!),
        })),
      };
    });
  });
  return { trials, parts, length };
}

const allEntries = ({ cell }: Specimen): Int32Array => Int32Array.from(errorLayout(cell).entries.keys());

function entriesRead(readings: readonly PartReading[]): Int32Array {
  const count = Math.max(0, ...readings.map(({ slopes }) => slopes.length));
  return Int32Array.from(
    Array.from({ length: count }, (_, e) => e).filter((e) => readings.some(({ slopes }) => slopes[e] !== 0)),
  );
}

function centreOf({ centre, follow, about }: LatentLaw, mean: Float64Array): Float64Array {
  const p = mean.length;
  return centre.map((value, k) => {
    let sum = value;
    for (let c = 0; c < p; c++) sum += follow[k * p + c]! * (mean[c]! - about[c]!);
    return sum;
  });
}

function errorsAt(
  { known, scatter, matrix }: Specimen,
  latent: Int32Array,
  mean: Float64Array,
  latents: Float64Array,
  sources: Likelihood["sources"],
): Float64Array {
  const p = sources.length;
  return known.map((value, e) => {
    let sum = value + (latent[e]! < 0 ? 0 : scatter[e]! * latents[latent[e]!]!);
    for (let c = 0; c < p; c++) sum += matrix[e * p + c]! * sources[c]!.trustedTo * mean[c]!;
    return sum;
  });
}

function partReading(
  { cell }: Specimen,
  reading: Reading,
  { noise, biases }: TrialBlock,
  row: number,
  job: Likelihood["job"],
): PartReading {
  const { shift = 0, column = -1 } = biases.get(reading.instrument) ?? {};
  const logLikelihood = readingLikelihood(reading, noise[row]!, job.mistakes);
  const gap = reading.what === "gap";
  const { nominal, slopes } = gap
    ? { nominal: 0, slopes: new Float64Array(0) }
    : linearReading(cell, reading, job);
  return {
    ...{ logLikelihood, nominal, slopes, shift, column },
    probes: gap ? probesMeant(cell, reading) : null,
  };
}
