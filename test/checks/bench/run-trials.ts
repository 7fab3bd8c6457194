import { availableParallelism } from "node:os";
import { UserError } from "../../../src/core/errors.js";
import {
  createStreams,
  MOST_SUBSTREAMS,
  type RandomStream,
} from "../../../src/core/numeric/random-stream.js";
import { StreamingQuantiles } from "../../../src/core/numeric/streaming-quantiles.js";
import type { BlockWork } from "../../../src/core/threads/pool-thread.js";
import { WorkerPool } from "../../../src/core/threads/worker-pool.js";
import { BLOCK_TRIALS, WORTH_A_THREAD } from "../../../src/inference/forecast/tally-blocks.js";
import type { Cell } from "../../../src/model/cell/cell.js";
import {
  createKernel,
  type KernelOptions,
  type SeatingKernel,
} from "../../../src/physics/kernel/seating-kernel.js";
import type { TrialInputs } from "../../../src/physics/kernel/trial-record.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";

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
  /** Keeps every trial's widest gap and press, 16 bytes a trial; default false. */
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
 * Cuts and seats a cell many times: normal draws by the kernel's inputs, widest gaps and presses, how many close. Blocks of trials are claimed by this thread and its
 * helpers as they get to them, and put together in their own order: the result is the same for any number of threads, bit for bit.
 *
 * @throws UserError (code "seating") when an option is out of range or a trial finds no rest.
 */
export async function runTrials(cell: Cell, options: TrialOptions): Promise<TrialResults> {
  const { trials, seed, limits, keepValues = false, threads, ...kernel } = options;
  requireTrials(trials);
  const most = threads ?? (trials < WORTH_A_THREAD ? 1 : availableParallelism());
  if (!(Number.isInteger(most) && most >= 1)) {
    throw new UserError("seating", `The number of threads must be whole and at least 1; it is ${most}.`);
  }
  const values = keepValues
    ? { widestGap: sharedNumbers(trials), deepestPress: sharedNumbers(trials) }
    : null;
  const task: TrialTask = { cell, kernel, trials, seed, limits, values };
  const pool = new WorkerPool(
    { start: trialWork, module: new URL(import.meta.url), task },
    { threads: most },
  );
  try {
    await pool.work(Math.ceil(trials / BLOCK_TRIALS));
    const tallies = await pool.totals();
    const worked = tallies.filter(({ blocks }) => blocks > 0).length;
    return { trials, seed, threads: worked, values, ...mergeTallies(pool.rows, tallies, trials) };
  } finally {
    await pool.close();
  }
}

function requireTrials(trials: number): void {
  const most = MOST_SUBSTREAMS * BLOCK_TRIALS;
  if (Number.isInteger(trials) && trials >= 1 && trials <= most) return;
  throw new UserError("seating", `The number of trials must be whole, from 1 to ${most}; it is ${trials}.`);
}

/** What is simulated, as it is sent to a thread. */
interface TrialTask {
  readonly cell: Cell;
  readonly kernel: KernelOptions;
  readonly trials: number;
  readonly seed: number;
  readonly limits: ClosingLimits;
  readonly values: KeptValues | null;
}

/** A number array that threads share. */
const sharedNumbers = (length: number): Float64Array =>
  new Float64Array(new SharedArrayBuffer(length * Float64Array.BYTES_PER_ELEMENT));

/** When a cell counts as closing, mm. */
interface ClosingLimits {
  /** Widest gap at most this … */
  readonly gap: number;
  /** … and deepest press at most this. */
  readonly press: number;
}

/** Where every trial's widest gap and deepest press go when they are to be kept. */
interface KeptValues {
  readonly widestGap: Float64Array;
  readonly deepestPress: Float64Array;
}

/** Numbers kept for each block, in this order: sum, sum of squares, smallest and largest of widest gap and of deepest press, and how many trials close. */
type BlockSums = readonly number[];

/** What one thread has counted. */
interface TrialTally {
  /** Number of blocks it worked on. */
  readonly blocks: number;
  readonly gapCounts: Uint32Array;
  readonly pressCounts: Uint32Array;
  readonly stragglers: number;
}

/** The work of a run, for a worker pool. */
export const trialWork = (task: TrialTask): BlockWork<BlockSums, TrialTally> => new TrialBlocks(task);

/** Draws and seats trials block by block. Block k draws from sub-stream k of the seed, so a block's results are the same whoever works on it, and when. */
class TrialBlocks implements BlockWork<BlockSums, TrialTally> {
  readonly #task: TrialTask;
  readonly #kernel: SeatingKernel;
  readonly #streams: readonly RandomStream[];
  readonly #widestGap = new Float64Array(BLOCK_TRIALS);
  readonly #deepestPress = new Float64Array(BLOCK_TRIALS);
  readonly #gaps = new StreamingQuantiles();
  readonly #presses = new StreamingQuantiles();
  #blocks = 0;

  constructor(task: TrialTask) {
    this.#task = task;
    this.#kernel = createKernel(cellModel(task.cell), task.kernel);
    this.#streams = createStreams(task.seed, Math.ceil(task.trials / BLOCK_TRIALS));
  }

  work(index: number): BlockSums {
    const { trials, limits, values } = this.#task;
    const start = index * BLOCK_TRIALS;
    const count = Math.min(BLOCK_TRIALS, trials - start);
    const [widestGap, deepestPress] = this.#seat(this.#streams[index]!, count);
    for (const gap of widestGap) this.#gaps.add(gap);
    for (const press of deepestPress) this.#presses.add(press);
    values?.widestGap.set(widestGap, start);
    values?.deepestPress.set(deepestPress, start);
    this.#blocks++;
    return sumsOf(widestGap, deepestPress, limits);
  }

  /** Largest opening and deepest overlap of trials drawn from one stream, mm, both ≥ 0; written over by the next block. */
  #seat(stream: RandomStream, count: number): readonly [Float64Array, Float64Array] {
    const kernel = this.#kernel;
    for (let done = 0; done < count; done += kernel.batchTrials) {
      const batch = Math.min(kernel.batchTrials, count - done);
      for (let trial = 0; trial < batch; trial++) stream.fill(kernel.drawsOf(trial));
      kernel.seat(batch);
      for (let trial = 0; trial < batch; trial++) {
        this.#widestGap[done + trial] = kernel.widestGap(trial);
        this.#deepestPress[done + trial] = kernel.deepestPress(trial);
      }
    }
    return [this.#widestGap.subarray(0, count), this.#deepestPress.subarray(0, count)];
  }

  total(): TrialTally {
    return {
      blocks: this.#blocks,
      gapCounts: this.#gaps.counts,
      pressCounts: this.#presses.counts,
      stragglers: this.#kernel.stragglers,
    };
  }
}

function sumsOf(widestGap: Float64Array, deepestPress: Float64Array, limits: ClosingLimits): BlockSums {
  let closing = 0;
  for (const [i, gap] of widestGap.entries())
    if (gap <= limits.gap && deepestPress[i]! <= limits.press) closing++;
  return [...momentsOf(widestGap), ...momentsOf(deepestPress), closing];
}

function momentsOf(values: Float64Array): [number, number, number, number] {
  let [sum, squares, smallest, largest] = [0, 0, Number.POSITIVE_INFINITY, 0];
  for (const value of values) {
    sum += value;
    squares += value * value;
    if (value < smallest) smallest = value;
    if (value > largest) largest = value;
  }
  return [sum, squares, smallest, largest];
}

/** How a widest gap, or a deepest press, spreads over all trials, mm. */
export interface Spread {
  readonly mean: number;
  readonly standardDeviation: number;
  readonly smallest: number;
  readonly largest: number;
  /** The value that the share `p` (0 < p ≤ 1) of the trials does not exceed, to `QUANTILE_ERROR` (0.05 %) of itself. */
  quantile(p: number): number;
}

export interface MergedTallies {
  readonly widestGap: Spread;
  readonly deepestPress: Spread;
  /** Trials that close. */
  readonly closing: number;
  readonly stragglers: number;
}

/** Puts tallies together; rows come in the order of the blocks, so that who worked on which does not matter. */
function mergeTallies(
  rows: readonly BlockSums[],
  tallies: readonly TrialTally[],
  trials: number,
): MergedTallies {
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
    widestGap: spread(
      0,
      tallies.map(({ gapCounts }) => gapCounts),
    ),
    deepestPress: spread(
      4,
      tallies.map(({ pressCounts }) => pressCounts),
    ),
    closing: rows.reduce((total, row) => total + row[8]!, 0),
    stragglers: tallies.reduce((total, { stragglers }) => total + stragglers, 0),
  };
}
