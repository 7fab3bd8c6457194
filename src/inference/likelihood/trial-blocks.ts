import { at, rowTimes } from "../../core/numeric/dense.js";
import type { ErrorKind } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { indexOfSource } from "../../model/sources.js";
import { JobCells, readSpecimen, readValues } from "./read-specimen.js";
import { instrumentOf, instrumentVariance } from "./reading-likelihood.js";
import {
  addOwnErrors,
  cutToCutNames,
  groupReadings,
  jobSources,
  ownSlopes,
  type Specimen,
} from "./specimen.js";

/** Readings of one trial taken on one specimen. */
export interface Part {
  readonly specimen: Specimen;
  readonly readings: readonly Reading[];
  /** For each elementary error its cut-to-cut error in the block, −1 where it has none. */
  readonly latent: Int32Array;
}

/** All readings of one trial: they share its pieces' cut-to-cut errors, standardised to a standard deviation of 1. */
export interface ReadingBlock {
  readonly trial: string;
  readonly parts: readonly Part[];
  readonly readings: readonly Reading[];
  /** Index of each reading in the list that the blocks were made from. */
  readonly places: readonly number[];
  /** Standard deviation of each reading due to its instrument, mm or rad. */
  readonly noise: Float64Array;
  readonly latents: number;
  /** Kind of each cut-to-cut error: an angle, a length along the piece, a thickness, or a wall of the grid. */
  readonly kinds: readonly ErrorKind[];
  /** Bias of each instrument: the known part, and the index of the unknown part among the sources (−1 where there is none). */
  readonly biases: ReadonlyMap<string, { readonly shift: number; readonly column: number }>;
}

export const NO_BIAS = { shift: 0, column: -1 };

const biasOf = ({ biases }: ReadingBlock, { instrument }: Reading) => biases.get(instrument) ?? NO_BIAS;

/** Expectation μ of a trial's readings at given sources and cut-to-cut errors, and its derivatives. */
export interface BlockExpectation {
  /** Expected values, mm or rad. */
  readonly mu: Float64Array;
  /** ∂μ/∂source, row-major (reading, source). */
  readonly bySource: Float64Array;
  /** ∂μ/∂latent, row-major (reading, latent). */
  readonly byLatent: Float64Array;
}

/** Groups readings by trial. */
export function trialBlocks(
  job: Job,
  readings: readonly Reading[],
  cells: JobCells = new JobCells(),
): ReadingBlock[] {
  const groups = groupReadings(job, readings, cells);
  const trials = [...new Set(readings.map(({ trial }) => trial))];
  const sources = jobSources(job);
  const biases = new Map(
    job.instruments.map(({ name, bias }) => {
      const column = indexOfSource(sources, { kind: "bias", of: name });
      return [name, { shift: bias, column }];
    }),
  );
  return trials.map((trial) => {
    const names = new Map<string, number>();
    const kinds: ErrorKind[] = [];
    const places: number[] = [];
    const parts = groups.flatMap((group): Part[] => {
      const own = group.readings.flatMap((reading, k) => (reading.trial === trial ? [k] : []));
      // Pieces measured by themselves may belong to different set-ups: their errors have different names.
      const bySetUp = new Map<string, number[]>();
      for (const k of own) {
        const key = at(group.readings, k).setUp ?? "";
        bySetUp.set(key, [...(bySetUp.get(key) ?? []), k]);
      }
      return [...bySetUp.values()].map((members) => {
        const list = members.map((k) => at(group.readings, k));
        places.push(...members.map((k) => at(group.places, k)));
        return {
          specimen: group.specimen,
          readings: list,
          latent: latentsOf(job, group, list, names, kinds),
        };
      });
    });
    const ordered = parts.flatMap((part) => part.readings);
    const noise = Float64Array.from(ordered, (reading) =>
      Math.sqrt(instrumentVariance(instrumentOf(job, reading), reading)),
    );
    return { trial, parts, readings: ordered, places, noise, latents: names.size, kinds, biases };
  });
}

/** Numbers the cut-to-cut errors that the readings of a part depend on. */
function latentsOf(
  job: Job,
  group: ReturnType<typeof groupReadings>[number],
  readings: readonly Reading[],
  names: Map<string, number>,
  kinds: ErrorKind[],
): Int32Array {
  const { specimen } = group;
  const { entries } = errorLayout(specimen.cell);
  const own = cutToCutNames(job, group, at(readings, 0));
  const matters = dependsOn(job, specimen, readings);
  return Int32Array.from(own, (name, e) => {
    if (specimen.betweenCutSd[e] === 0 || !matters(e)) return -1;
    const known = names.get(name);
    if (known !== undefined) return known;
    kinds.push(at(entries, e).kind);
    names.set(name, names.size);
    return names.size - 1;
  });
}

/** The gaps of a seated specimen depend on every error; a reading of a piece or a jig by itself depends on a few only. */
function dependsOn(job: Job, specimen: Specimen, readings: readonly Reading[]): (e: number) => boolean {
  const { cell, reader } = specimen;
  if (readings.some(({ what }) => what === "gap")) return () => true;
  const slopes = readSpecimen(reader, new Float64Array(errorLayout(cell).entries.length), readings, job);
  const own = slopes.map((expected) => ownSlopes(specimen, expected.slopes));
  return (e) => own.some((by) => by[e] !== 0);
}

/** Expectation of a block's readings. This is the inner loop of the search for the mode, so slopes are summed without bounds checks. */
export function expectBlock(
  job: Job,
  block: ReadingBlock,
  sources: Float64Array,
  latents: Float64Array,
): BlockExpectation {
  const p = sources.length;
  const n = block.latents;
  const count = block.readings.length;
  const out = {
    mu: new Float64Array(count),
    bySource: new Float64Array(count * p),
    byLatent: new Float64Array(count * n),
  };
  let row = 0;
  for (const { specimen, readings, latent } of block.parts) {
    const { matrix, betweenCutSd, reader } = specimen;
    const errors = partErrors(specimen, latent, sources, latents);
    for (const [k, { value, slopes }] of readSpecimen(reader, errors, readings, job).entries()) {
      const { shift, column } = biasOf(block, at(readings, k));
      out.mu[row] = value + shift + (column < 0 ? 0 : at(sources, column));
      if (column >= 0) out.bySource[row * p + column] = 1;
      for (let e = 0; e < slopes.length; e++) {
        const slope = slopes[e]!;
        if (slope === 0) continue;
        for (let c = 0; c < p; c++) out.bySource[row * p + c]! += slope * matrix[e * p + c]!;
      }
      const own = ownSlopes(specimen, slopes);
      for (let e = 0; e < own.length; e++) {
        if (latent[e]! >= 0) out.byLatent[row * n + latent[e]!]! += own[e]! * betweenCutSd[e]!;
      }
      row++;
    }
  }
  return out;
}

/** μ of `expectBlock` without its derivatives. */
export function expectValues(
  job: Job,
  block: ReadingBlock,
  sources: Float64Array,
  latents: Float64Array,
): Float64Array {
  const values = new Float64Array(block.readings.length);
  let row = 0;
  for (const { specimen, readings, latent } of block.parts) {
    const errors = partErrors(specimen, latent, sources, latents);
    for (const [k, value] of readValues(specimen.reader, errors, readings, job).entries()) {
      const { shift, column } = biasOf(block, at(readings, k));
      values[row++] = value + shift + (column < 0 ? 0 : at(sources, column));
    }
  }
  return values;
}

/** Elementary errors of a specimen, rad and mm, at given sources (rad and mm) and cut-to-cut errors of its trial (standardised). */
export function partErrors(
  specimen: Specimen,
  latent: Int32Array,
  sources: Float64Array,
  latents: Float64Array,
): Float64Array {
  const { matrix, known } = specimen;
  const errors = known.map((moved, e) => rowTimes(matrix, e, sources.length, sources, moved));
  addOwnErrors(
    specimen,
    Float64Array.from(latent, (k) => (k < 0 ? 0 : at(latents, k))),
    errors,
  );
  return errors;
}
