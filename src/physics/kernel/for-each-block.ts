import { createStreams, MOST_SUBSTREAMS } from "../../core/numeric/random-stream.js";
import { SeatingError } from "../seating/seating-model.js";
import type { SeatingKernel } from "./seating-kernel.js";

/** A further thread needs about a third of a second until it has started, made its kernel and warmed up. */
export const WORTH_A_THREAD = 500_000;

/** Trials that share a sub-stream of the random numbers: part of what a seed means, not to be changed. */
export const BLOCK_TRIALS = 4096;

/** Trials of one block, seated. */
export interface TrialBlock {
  readonly index: number;
  /** Number of its first trial. */
  readonly start: number;
  readonly count: number;
  /** Largest opening and deepest overlap of its trials, mm, both ≥ 0; written over by the next block. */
  readonly worstGap: Float64Array;
  readonly worstPress: Float64Array;
}

export interface BlockOptions {
  /** How many trials in all, ≥ 1. */
  readonly trials: number;
  /** Whole, 0 … 2⁵³ − 1. */
  readonly seed: number;
  /** Hands out block numbers, each once, until none is left; by default all in their order. */
  readonly claim?: () => number;
}

export const blocksOf = (trials: number): number => Math.ceil(trials / BLOCK_TRIALS);

/**
 * Draws and seats trials block by block. Block k draws from sub-stream k of the seed, so a block's results are the same whoever works on it, and when.
 *
 * @throws SeatingError when the number of trials is out of range or a trial finds no rest.
 */
export function forEachBlock(
  kernel: SeatingKernel,
  { trials, seed, claim = counter() }: BlockOptions,
  visit: (block: TrialBlock) => void,
): void {
  requireTrials(trials);
  const blocks = blocksOf(trials);
  const streams = createStreams(seed, blocks);
  const worstGap = new Float64Array(BLOCK_TRIALS);
  const worstPress = new Float64Array(BLOCK_TRIALS);
  for (let index = claim(); index < blocks; index = claim()) {
    const stream = streams[index]!;
    const start = index * BLOCK_TRIALS;
    const count = Math.min(BLOCK_TRIALS, trials - start);
    for (let done = 0; done < count; done += kernel.batchTrials) {
      const batch = Math.min(kernel.batchTrials, count - done);
      for (let trial = 0; trial < batch; trial++) stream.fill(kernel.drawsOf(trial));
      kernel.seat(batch);
      for (let trial = 0; trial < batch; trial++) {
        worstGap[done + trial] = kernel.worstGap(trial);
        worstPress[done + trial] = kernel.worstPress(trial);
      }
    }
    visit({ index, start, count, worstGap, worstPress });
  }
}

function counter(): () => number {
  let next = 0;
  return () => next++;
}

export function requireTrials(trials: number): void {
  const most = MOST_SUBSTREAMS * BLOCK_TRIALS;
  if (Number.isInteger(trials) && trials >= 1 && trials <= most) return;
  throw new SeatingError(`The number of trials must be whole, from 1 to ${most}; it is ${trials}.`);
}
