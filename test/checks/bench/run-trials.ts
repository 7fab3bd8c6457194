import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import { StreamingQuantiles } from "../../../src/core/numeric/streaming-quantiles.js";
import type { Cell } from "../../../src/model/cell/cell.js";
import {
  BLOCK_TRIALS,
  type BlockOptions,
  blocksOf,
  forEachBlock,
  requireTrials,
  type TrialBlock,
  WORTH_A_THREAD,
} from "../../../src/physics/kernel/for-each-block.js";
import {
  createKernel,
  type KernelOptions,
  type SeatingKernel,
} from "../../../src/physics/kernel/seating-kernel.js";
import type { TrialInputs } from "../../../src/physics/kernel/trial-record.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { SeatingError } from "../../../src/physics/seating/seating-model.js";

export interface TrialOptions extends KernelOptions {
  /** How the errors of a cut cell follow from standard normal draws. */
  readonly inputs: TrialInputs;
  /** How many cells are cut and seated, ≥ 1. */
  readonly trials: number;
  /** Whole, 0 … 2⁵³ − 1: the same seed gives the same trials. */
  readonly seed: number;
  /** When a cell counts as closing. */
  readonly limits: ClosingLimits;
  /** Threads at most, this one among them; by default as many as there are cores, and one for fewer than {@link WORTH_A_THREAD} trials. No result depends on it. */
  readonly threads?: number;
  /** Keeps every trial's worst gap and press, 16 bytes a trial; default false. */
  readonly keepValues?: boolean;
}

export interface TrialResults extends MergedTallies {
  readonly trials: number;
  readonly seed: number;
  /** Threads that worked on the trials. */
  readonly threads: number;
  /** Every trial's, in their order, if they were to be kept. */
  readonly values: KeptValues | null;
}

/**
 * Cuts and seats a cell many times: normal draws by the kernel's inputs, worst gaps and presses, how many close. Blocks of trials are claimed by this thread and its
 * helpers as they get to them, and put together in their own order: the result is the same for any number of threads, bit for bit.
 *
 * @throws SeatingError when an option is out of range or a trial finds no rest.
 */
export async function runTrials(cell: Cell, options: TrialOptions): Promise<TrialResults> {
  const { trials, seed, limits, keepValues = false, threads, ...kernel } = options;
  requireTrials(trials);
  const most = threads ?? (trials < WORTH_A_THREAD ? 1 : availableParallelism());
  if (!(Number.isInteger(most) && most >= 1)) {
    throw new SeatingError(`The number of threads must be whole and at least 1; it is ${most}.`);
  }
  const own = createKernel(cellModel(cell), kernel);
  const next = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
  const values = keepValues ? { worstGap: sharedNumbers(trials), worstPress: sharedNumbers(trials) } : null;
  const task: SharedTask = { cell, kernel, trials, seed, limits, next, values };
  const helpers = Promise.all(Array.from({ length: most - 1 }, () => tallyElsewhere(task)));
  // Awaited below, unless this thread fails first.
  helpers.catch(() => {});
  let mine: TrialTally;
  try {
    mine = tallyTrials(own, { trials, seed, claim: claimFrom(next) }, limits, values);
  } catch (error) {
    Atomics.store(next, 0, blocksOf(trials));
    throw error;
  }
  const tallies = [mine, ...(await helpers)];
  const worked = tallies.filter(({ blocks }) => blocks.length > 0).length;
  return { trials, seed, threads: worked, values, ...mergeTallies(tallies, trials) };
}

function tallyElsewhere(task: SharedTask): Promise<TrialTally> {
  const worker = new Worker(new URL("./trial-worker.js", import.meta.url), { workerData: task });
  return new Promise((resolve, reject) => {
    worker.once("message", (answer: { tally?: TrialTally; failure?: string }) => {
      if (answer.tally) resolve(answer.tally);
      else reject(new SeatingError(answer.failure ?? "A thread ended without a word."));
    });
    worker.once("error", reject);
  });
}

/** All that a thread must be told. */
export interface SharedTask {
  readonly cell: Cell;
  readonly kernel: KernelOptions;
  readonly trials: number;
  readonly seed: number;
  readonly limits: ClosingLimits;
  /** One number, shared by all threads: the next block that is not claimed. */
  readonly next: Int32Array;
  readonly values: KeptValues | null;
}

/** Claims blocks one after the other, each for one thread only. */
export const claimFrom = (next: Int32Array) => (): number => Atomics.add(next, 0, 1);

/** A number array that threads share. */
export const sharedNumbers = (length: number): Float64Array =>
  new Float64Array(new SharedArrayBuffer(length * Float64Array.BYTES_PER_ELEMENT));

/** When a cell counts as closing, mm. */
export interface ClosingLimits {
  /** Worst gap at most this … */
  readonly gap: number;
  /** … and worst press at most this. */
  readonly press: number;
}

/** Numbers kept for each block, in this order: sums, sums of squares, smallest and largest of worst gap and worst press, and how many trials close. */
const KEPT = 9;

/** What one thread has found out about the blocks it worked on; can be sent to another. */
export interface TrialTally {
  /** Indices of the blocks, and {@link KEPT} numbers for each. */
  readonly blocks: number[];
  readonly kept: Float64Array;
  readonly gapCounts: Uint32Array;
  readonly pressCounts: Uint32Array;
  readonly stragglers: number;
}

/** Where every trial's worst gap and worst press go when they are to be kept. */
export interface KeptValues {
  readonly worstGap: Float64Array;
  readonly worstPress: Float64Array;
}

/** Works on blocks until none is left. */
export function tallyTrials(
  kernel: SeatingKernel,
  options: BlockOptions,
  limits: ClosingLimits,
  values: KeptValues | null,
): TrialTally {
  const gaps = new StreamingQuantiles();
  const presses = new StreamingQuantiles();
  const blocks: number[] = [];
  const kept = new Float64Array(KEPT * blocksOf(options.trials));
  const before = kernel.stragglers;
  forEachBlock(kernel, options, (block) => {
    const { start, count, worstGap, worstPress } = block;
    for (let i = 0; i < count; i++) {
      gaps.add(worstGap[i]!);
      presses.add(worstPress[i]!);
    }
    kept.set(sumsOf(block, limits), KEPT * blocks.length);
    blocks.push(block.index);
    values?.worstGap.set(count < BLOCK_TRIALS ? worstGap.subarray(0, count) : worstGap, start);
    values?.worstPress.set(count < BLOCK_TRIALS ? worstPress.subarray(0, count) : worstPress, start);
  });
  return {
    blocks,
    kept: kept.slice(0, KEPT * blocks.length),
    gapCounts: gaps.counts,
    pressCounts: presses.counts,
    stragglers: kernel.stragglers - before,
  };
}

function sumsOf({ count, worstGap, worstPress }: TrialBlock, limits: ClosingLimits): number[] {
  let closing = 0;
  for (let i = 0; i < count; i++) {
    if (worstGap[i]! <= limits.gap && worstPress[i]! <= limits.press) closing++;
  }
  return [...momentsOf(worstGap, count), ...momentsOf(worstPress, count), closing];
}

function momentsOf(values: Float64Array, count: number): [number, number, number, number] {
  let [sum, squares, smallest, largest] = [0, 0, Number.POSITIVE_INFINITY, 0];
  for (let i = 0; i < count; i++) {
    const value = values[i]!;
    sum += value;
    squares += value * value;
    if (value < smallest) smallest = value;
    if (value > largest) largest = value;
  }
  return [sum, squares, smallest, largest];
}

/** How a worst gap, or a worst press, spreads over all trials, mm. */
export interface Spread {
  readonly mean: number;
  readonly standardDeviation: number;
  readonly smallest: number;
  readonly largest: number;
  /** The value that the share `p` (0 < p ≤ 1) of the trials does not exceed, to `QUANTILE_ERROR` (0.05 %) of itself. */
  quantile(p: number): number;
}

export interface MergedTallies {
  readonly worstGap: Spread;
  readonly worstPress: Spread;
  /** Trials that close. */
  readonly closing: number;
  readonly stragglers: number;
}

/** Puts tallies together in the order of the blocks, so that who worked on which does not matter. */
export function mergeTallies(tallies: readonly TrialTally[], trials: number): MergedTallies {
  const rows = tallies
    .flatMap(({ blocks, kept }) =>
      blocks.map((index, k) => ({ index, row: kept.subarray(KEPT * k, KEPT * (k + 1)) })),
    )
    .sort((a, b) => a.index - b.index)
    .map(({ row }) => row);
  const spread = (from: number, counts: readonly Uint32Array[]): Spread => {
    const quantiles = new StreamingQuantiles();
    counts.forEach((own) => {
      quantiles.merge(own);
    });
    const sum = (k: number) => rows.reduce((total, row) => total + row[from + k]!, 0);
    const mean = sum(0) / trials;
    const variance = trials > 1 ? (sum(1) - trials * mean * mean) / (trials - 1) : 0;
    return {
      mean,
      standardDeviation: Math.sqrt(Math.max(0, variance)),
      smallest: rows.reduce((least, row) => Math.min(least, row[from + 2]!), Number.POSITIVE_INFINITY),
      largest: rows.reduce((most, row) => Math.max(most, row[from + 3]!), 0),
      quantile: (p) => quantiles.quantile(p),
    };
  };
  return {
    worstGap: spread(
      0,
      tallies.map(({ gapCounts }) => gapCounts),
    ),
    worstPress: spread(
      4,
      tallies.map(({ pressCounts }) => pressCounts),
    ),
    closing: rows.reduce((total, row) => total + row[8]!, 0),
    stragglers: tallies.reduce((total, { stragglers }) => total + stragglers, 0),
  };
}
