import { errorLayout } from "../cutting/error-layout.js";
import { independentErrors } from "../kernel/cell/trial-inputs.js";
import { createKernel, type KernelOptions, type SeatingKernel } from "../kernel/create-kernel.js";
import { asanohaSquare } from "../lattice/asanoha-square.js";
import { compileCell } from "../lattice/compile-cell.js";
import type { RandomStream } from "../numeric/random-stream.js";
import { cellModel } from "../predict/cell-model.js";

/** The case of every line: a square cell of 60 mm with 3 mm strips, 71 independent normal errors of 0.1° and 0.03 mm. */
export const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
const ANGLE = (0.1 * Math.PI) / 180;
const LENGTH = 0.03;

export const model = cellModel(cell);
export const inputs = independentErrors(
  Float64Array.from(errorLayout(cell).entries, ({ kind }) =>
    kind === "angle" || kind === "turn" ? ANGLE : LENGTH,
  ),
);

export const benchKernel = (options: Omit<KernelOptions, "inputs">): SeatingKernel =>
  createKernel(model, { ...options, inputs });

/** Draws the normals of a batch and, as `work` says, finds the free gaps alone (the floor) or seats them. */
export function workBatches(
  kernel: SeatingKernel,
  stream: RandomStream,
  batches: number,
  work: "floor" | "seat",
): void {
  const { batchTrials } = kernel;
  for (let batch = 0; batch < batches; batch++) {
    for (let trial = 0; trial < batchTrials; trial++) stream.fill(kernel.drawsOf(trial));
    if (work === "floor") kernel.freeGaps(batchTrials);
    else kernel.seat(batchTrials);
  }
}

/** Trials drawn beforehand, row-major, for lines that leave the drawing out. */
export function drawnTrials(stream: RandomStream, trials: number): Float64Array {
  return stream.fill(new Float64Array(trials * inputs.draws));
}

/** Seats trials drawn beforehand; a whole number of batches. `see` is called when a batch is seated, with the number of its first trial. */
export function seatDrawn(
  kernel: SeatingKernel,
  drawn: Float64Array,
  see: (start: number) => void = () => {},
): void {
  const { batchTrials } = kernel;
  const trials = drawn.length / inputs.draws;
  for (let start = 0; start < trials; start += batchTrials) {
    for (let trial = 0; trial < batchTrials; trial++) {
      const own = kernel.drawsOf(trial);
      const from = (start + trial) * inputs.draws;
      for (let k = 0; k < own.length; k++) own[k] = drawn[from + k]!;
    }
    kernel.seat(batchTrials);
    see(start);
  }
}

/** The error vector of one of those trials. */
export const drawnErrors = (drawn: Float64Array, trial: number): Float64Array =>
  inputs.mean.map((_, i) => drawn[trial * inputs.draws + i]! * inputs.matrix[i * inputs.draws + i]!);
