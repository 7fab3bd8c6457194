import { at, rowOf } from "../../core/numeric/dense.js";
import { createStream, type RandomStream } from "../../core/numeric/random-stream.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { DrawnCells } from "../decision/drawn-cells.js";
import { expectMany } from "../likelihood/expect-many.js";
import type { JobCells } from "../likelihood/read-specimen.js";
import { type ReadingBlock, trialBlocks } from "../likelihood/trial-blocks.js";
import { equipmentOf } from "./borrowed.js";
import { type Station, sampleName, stationsOf } from "./station.js";

/** One reading that could be taken, and what it would show on a new trial piece cut in each of the drawn shops. */
export interface SimulatedReading {
  readonly station: Station;
  readonly reading: Reading;
  /** Whether its instrument has to be borrowed. */
  readonly borrowed: boolean;
  /** What is shown at each draw: a value in mm or rad or, for a feeler gauge, the number of leaves that go in. */
  readonly shown: Float64Array;
}

/**
 * Simulates every reading that the job's benches and instruments, and borrowed instruments, allow. At each draw of the sources a new trial piece is cut with cut-to-cut
 * errors of its own, seated at first order and read with the instrument's own scatter.
 *
 * @param cells the job's compiled cells.
 * @param seed an integer ≥ 0.
 */
export function simulateReadings(
  job: Job,
  forecast: Pick<DrawnCells, "sources" | "draws" | "columns">,
  cells: JobCells,
  seed: number,
): SimulatedReading[] {
  const { instruments, borrowed } = equipmentOf(job);
  const names = new Set(borrowed.map(({ name }) => name));
  const equipped: Job = { ...job, order: "first", instruments: [...instruments, ...borrowed] };
  const stream = createStream(seed, 10);
  // A piece measured by itself gives the same information whether it belongs to a whole cell or is cut alone, and a whole cell takes more pieces.
  const stations = stationsOf(equipped, job.trialCosts).filter(
    ({ sample, bench }) => sample.kind !== "cell" || bench !== "none",
  );
  return groupsOf(stations).flatMap((group) => {
    const readings = group.flatMap((station) => station.readings.map((reading) => ({ station, reading })));
    const [block] = trialBlocks(
      equipped,
      readings.map(({ reading }) => reading),
      cells,
    );
    if (!block) return [];
    const rows = shownAt(equipped, block, forecast, stream);
    return readings.map(({ station, reading }, place): SimulatedReading => {
      const row = block.places.indexOf(place);
      const shown = at(rows, row).map((mu) => shownBy(station, reading, mu));
      return { station, reading, borrowed: names.has(station.instrument.name), shown };
    });
  });
}

/** Groups stations by sample, and separates those on benches from those where pieces are measured by themselves. */
function groupsOf(stations: readonly Station[]): Station[][] {
  const groups = new Map<string, Station[]>();
  for (const station of stations) {
    const { sample, bench } = station;
    const key = `${sample.kind} ${sampleName(sample)} ${bench === "none"}`;
    groups.set(key, [...(groups.get(key) ?? []), station]);
  }
  return [...groups.values()];
}

/** For each reading of a block, the quantity at each draw including the instrument's noise (mm or rad), before it is rounded to steps or leaves. */
function shownAt(
  job: Job,
  block: ReadingBlock,
  { sources, draws, columns: p }: Pick<DrawnCells, "sources" | "draws" | "columns">,
  stream: RandomStream,
): Float64Array[] {
  const rows = block.readings.map(() => new Float64Array(draws));
  const [r, n] = [rows.length, block.latents];
  const latents = new Float64Array(draws * n);
  const noise = new Float64Array(draws * r);
  for (let d = 0; d < draws; d++) {
    stream.fill(rowOf(latents, d, n));
    stream.fill(rowOf(noise, d, r));
  }
  const mu = expectMany(job, block, { sources: sources.subarray(0, draws * p), latents, draws });
  for (const [k, row] of rows.entries())
    for (let d = 0; d < draws; d++) row[d] = at(mu, d * r + k) + at(block.noise, k) * at(noise, d * r + k);
  return rows;
}

/** What the instrument shows: the number of its leaves that go in, or a value; a gap never reads below zero. */
function shownBy({ instrument }: Station, { what }: Reading, met: number): number {
  const { leaves } = instrument;
  if (leaves.length > 0) return leaves.filter((leaf) => leaf <= met).length;
  return what === "gap" ? Math.max(0, met) : met;
}
