import type { Job } from "../job/job.js";
import type { Reading } from "../readings/reading.js";
import { instrumentVariance } from "../readings/reading-loss.js";
import { readSpecimen } from "./read-specimen.js";
import { benchSpecimen, cellSpecimen, type Specimen } from "./specimen.js";

/** Readings of one specimen, with their places in the list they came from. */
export interface SpecimenReadings {
  readonly specimen: Specimen;
  readonly readings: readonly Reading[];
  readonly places: readonly number[];
}

/** What the readings are expected to show at given values of the shared sources. */
export interface Expectation {
  /** One a reading, in its own unit (mm or rad). */
  readonly mu: Float64Array;
  /** ∂μ/∂source, row-major (reading, source). */
  readonly jacobian: Float64Array;
  /** Standard deviation of each reading about μ: the instrument, and the cut-to-cut errors of its trial carried through to first order. */
  readonly tau: Float64Array;
}

/** Sorts readings by what they were taken on. */
export function groupReadings(job: Job, readings: readonly Reading[]): SpecimenReadings[] {
  const groups = new Map<string, { specimen: Specimen; readings: Reading[]; places: number[] }>();
  const cell = cellSpecimen(job);
  for (const [place, reading] of readings.entries()) {
    const onCell = reading.bench === "cell" || reading.bench === "none";
    const key = onCell ? cell.key : `${reading.bench} ${reading.setUp}`;
    let group = groups.get(key);
    if (!group) {
      const specimen =
        reading.bench === "cell" || reading.bench === "none"
          ? cell
          : benchSpecimen(job, reading.bench, reading.setUp ?? "");
      group = { specimen, readings: [], places: [] };
      groups.set(key, group);
    }
    group.readings.push(reading);
    group.places.push(place);
  }
  return [...groups.values()];
}

/** Elementary errors of a specimen from the shared sources alone. */
export function errorsFrom({ matrix, scatter }: Specimen, sources: Float64Array): Float64Array {
  const columns = sources.length;
  return scatter.map((_, row) => {
    let sum = 0;
    for (let c = 0; c < columns; c++) sum += matrix[row * columns + c]! * sources[c]!;
    return sum;
  });
}

/** The expectation of every reading, in the order of the list that was grouped. */
export function expectReadings(
  job: Job,
  groups: readonly SpecimenReadings[],
  sources: Float64Array,
): Expectation {
  const count = groups.reduce((sum, { places }) => sum + places.length, 0);
  const columns = sources.length;
  const mu = new Float64Array(count);
  const tau = new Float64Array(count);
  const jacobian = new Float64Array(count * columns);
  const instruments = new Map(job.instruments.map((instrument) => [instrument.name, instrument]));
  for (const { specimen, readings, places } of groups) {
    const expected = readSpecimen(specimen.cell, errorsFrom(specimen, sources), readings, job);
    for (const [k, reading] of readings.entries()) {
      const place = places[k]!;
      const { value, slopes } = expected[k]!;
      mu[place] = value;
      let variance = instrumentVariance(instruments.get(reading.instrument)!, reading);
      for (let e = 0; e < slopes.length; e++) {
        const slope = slopes[e]!;
        if (slope === 0) continue;
        variance += (slope * specimen.scatter[e]!) ** 2;
        for (let c = 0; c < columns; c++) {
          jacobian[place * columns + c]! += slope * specimen.matrix[e * columns + c]!;
        }
      }
      tau[place] = Math.sqrt(variance);
    }
  }
  return { mu, jacobian, tau };
}
