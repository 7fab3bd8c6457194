import type { Job } from "../job/job.js";
import type { Reading } from "../readings/reading.js";
import { benchSpecimen, cellSpecimen, type Specimen } from "./specimen.js";

/** Readings of one specimen, with their places in the list they came from. */
export interface SpecimenReadings {
  readonly specimen: Specimen;
  readonly readings: readonly Reading[];
  readonly places: readonly number[];
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
