import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { SeatingKernel } from "../../physics/kernel/seating-kernel.js";
import { orNothing } from "../../physics/predict/cell-model.js";
import { type Specimen, sharedErrors } from "./specimen.js";
import { NO_BIAS, type Part, type ReadingBlock } from "./trial-blocks.js";

/** Sources (rad and mm) and standardised cut-to-cut errors of many draws, each row-major. */
export interface DrawnErrors {
  readonly sources: Float64Array;
  readonly latents: Float64Array;
  readonly draws: number;
}

/**
 * μ of a block's readings (`expectValues`) for many draws, row-major (draw, reading); mm or rad. The readings of a draw whose pieces find no equilibrium are NaN.
 * Specimens are seated one batch at a time, and entries are read without bounds checks.
 */
export function expectMany(job: Job, block: ReadingBlock, drawn: DrawnErrors): Float64Array {
  const { sources, draws } = drawn;
  const r = block.readings.length;
  const p = draws === 0 ? 0 : sources.length / draws;
  const out = new Float64Array(draws * r);
  let first = 0;
  for (const part of block.parts) {
    readPart(job, part, { ...drawn, p, n: block.latents }, (d, k, value) => {
      out[d * r + first + k] = value;
    });
    for (const [k, { instrument }] of part.readings.entries()) {
      const { shift, column } = block.biases.get(instrument) ?? NO_BIAS;
      for (let d = 0; d < draws; d++)
        out[d * r + first + k]! += shift + (column < 0 ? 0 : sources[d * p + column]!);
    }
    first += part.readings.length;
  }
  for (let d = 0; d < draws; d++) {
    const row = out.subarray(d * r, (d + 1) * r);
    if (row.some(Number.isNaN)) row.fill(Number.NaN);
  }
  return out;
}

interface Drawn extends DrawnErrors {
  /** Number of sources and number of cut-to-cut errors of a draw. */
  readonly p: number;
  readonly n: number;
}

/** Calls `found` with every reading of a part (draw, index, value), without instrument bias. */
function readPart(
  job: Job,
  part: Part,
  { sources, latents, draws, p, n }: Drawn,
  found: (draw: number, place: number, value: number) => void,
): void {
  const { readings, specimen } = part;
  const write = errorWriter(part, p);
  const readers = readings.map((reading) => valueReader(job, specimen, reading));
  const gaps = readings.some(({ what }) => what === "gap");
  const kernel = gaps ? specimen.reader.kernel(job.order, job.pressRatio) : null;
  const own = new Float64Array(specimen.known.length);
  const readAll = (draw: number, trial: number, errors: Float64Array): void => {
    for (let k = 0; k < readers.length; k++) found(draw, k, readers[k]!(errors, kernel, trial));
  };
  if (kernel === null) {
    for (let d = 0; d < draws; d++) {
      write(sources, d * p, latents, d * n, own);
      readAll(d, 0, own);
    }
    return;
  }
  for (let from = 0; from < draws; from += kernel.batchTrials) {
    const count = Math.min(kernel.batchTrials, draws - from);
    const prepare = (t: number, to: number): void =>
      write(sources, (from + t) * p, latents, (from + t) * n, kernel.drawsOf(to));
    for (let t = 0; t < count; t++) prepare(t, t);
    const together = seats(kernel, count);
    for (let t = 0; t < count; t++) {
      // If one trial of a batch finds no equilibrium, each is seated separately.
      if (!together) prepare(t, 0);
      if (together || seats(kernel, 1)) readAll(from + t, together ? t : 0, kernel.drawsOf(together ? t : 0));
      else for (let k = 0; k < readers.length; k++) found(from + t, k, Number.NaN);
    }
  }
}

/** Seats the first trials of a kernel's batch; returns whether all found an equilibrium. */
const seats = (kernel: SeatingKernel, count: number): boolean =>
  orNothing(() => {
    kernel.seat(count);
    return true;
  }) ?? false;

/** Evaluates a reading: a linear form of the errors, or the widest gap among some probes of a seated trial. */
type ValueReader = (errors: Float64Array, kernel: SeatingKernel | null, trial: number) => number;

function valueReader(job: Job, { reader }: Specimen, reading: Reading): ValueReader {
  if (reading.what === "gap") {
    const probes = Int32Array.from(reader.probesMeant(reading));
    return (_, kernel, trial) => {
      let widest = Number.NEGATIVE_INFINITY;
      for (let i = 0; i < probes.length; i++) widest = Math.max(widest, kernel!.gap(trial, probes[i]!));
      return widest;
    };
  }
  const { nominal, slopes } = reader.linear(reading, job);
  const places = Int32Array.from([...slopes.keys()].filter((e) => slopes[e] !== 0));
  return (errors) => {
    let value = nominal;
    for (let i = 0; i < places.length; i++) value += slopes[places[i]!]! * errors[places[i]!]!;
    return value;
  };
}

/** Writes a part's elementary errors (`partErrors`), using that most depend on a few sources only. */
function errorWriter({ specimen, latent }: Part, p: number) {
  const { betweenCutSd, carried } = specimen;
  const writeShared = sharedErrors(specimen, p);
  return (
    sources: Float64Array,
    source: number,
    latents: Float64Array,
    own: number,
    out: Float64Array,
  ): void => {
    writeShared(sources, source, out, 0);
    for (let e = 0; e < latent.length; e++)
      if (latent[e]! >= 0) out[e]! += betweenCutSd[e]! * latents[own + latent[e]!]!;
    for (const { from, to, factor } of carried)
      if (latent[from]! >= 0) out[to]! += factor * betweenCutSd[from]! * latents[own + latent[from]!]!;
  };
}
