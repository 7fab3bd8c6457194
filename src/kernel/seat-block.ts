import { SeatingError } from "../seating/seating-model.js";
import type { CellSeater } from "./fitted/create-seater.js";

/** Where a block's results are written; every array must have room for them. */
export interface SeatedBlock {
  /** Largest opening and deepest overlap of each trial, mm, both ≥ 0. */
  readonly worstGap: Float64Array;
  readonly worstPress: Float64Array;
  /** Signed gaps, row-major (trial, probe of a joint), mm. */
  readonly gaps?: Float64Array;
}

/**
 * Seats any number of trials, a batch at a time.
 *
 * @param draws what the kernel's inputs are made from, row-major (trial, draw); by default the error vectors themselves.
 * @throws SeatingError when a draw is not a number, or a trial finds no rest.
 */
export function seatBlock(kernel: CellSeater, draws: Float64Array, count: number, out: SeatedBlock): void {
  const width = kernel.inputs.draws;
  const probes = kernel.model.readProbes;
  for (let start = 0; start < count; start += kernel.batchTrials) {
    const batch = Math.min(kernel.batchTrials, count - start);
    for (let trial = 0; trial < batch; trial++) {
      const own = kernel.drawsOf(trial);
      for (let k = 0; k < width; k++) own[k] = numberAt(draws, start + trial, k, width);
    }
    kernel.seat(batch);
    for (let trial = 0; trial < batch; trial++) {
      out.worstGap[start + trial] = kernel.worstGap(trial);
      out.worstPress[start + trial] = kernel.worstPress(trial);
      if (out.gaps)
        for (let i = 0; i < probes; i++) out.gaps[(start + trial) * probes + i] = kernel.gap(trial, i);
    }
  }
}

function numberAt(draws: Float64Array, trial: number, k: number, width: number): number {
  const value = draws[trial * width + k];
  if (value !== undefined && Number.isFinite(value)) return value;
  throw new SeatingError(`A trial needs ${width} finite draws; number ${k} of trial ${trial} is ${value}.`);
}
