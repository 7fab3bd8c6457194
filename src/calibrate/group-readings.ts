import type { Job } from "../job/job.js";
import type { Reading } from "../readings/reading.js";
import { benchSpecimen, cellOf, cellSpecimen, type Specimen } from "./specimen.js";

/** Readings of one specimen, with their places in the list they came from. */
export interface SpecimenReadings {
  readonly specimen: Specimen;
  readonly readings: readonly Reading[];
  readonly places: readonly number[];
}

/** Sorts readings by what they were taken on. */
export function groupReadings(job: Job, readings: readonly Reading[]): SpecimenReadings[] {
  const groups = new Map<string, { specimen: Specimen; readings: Reading[]; places: number[] }>();
  const cell = cellOf(job);
  for (const [place, reading] of readings.entries()) {
    const { bench, setUp, round } = reading;
    const key =
      bench === "cell" || bench === "none" ? `cell ${round ?? ""}` : `${bench} ${setUp} ${round ?? ""}`;
    let group = groups.get(key);
    if (!group) {
      const specimen =
        bench === "cell" || bench === "none"
          ? cellSpecimen(job, cell, round)
          : benchSpecimen(job, bench, setUp ?? "", round);
      group = { specimen, readings: [], places: [] };
      groups.set(key, group);
    }
    group.readings.push(reading);
    group.places.push(place);
  }
  return [...groups.values()];
}

/** Elementary errors of a specimen from the shared sources and known moves alone. */
export function errorsFrom({ matrix, known }: Specimen, sources: Float64Array): Float64Array {
  const columns = sources.length;
  return known.map((moved, row) => {
    let sum = moved;
    for (let c = 0; c < columns; c++) sum += matrix[row * columns + c]! * sources[c]!;
    return sum;
  });
}
