import { availableParallelism } from "node:os";
import { Worker } from "node:worker_threads";
import type { TrialInputs } from "../../kernel/cell/trial-inputs.js";
import { createKernel, type KernelOptions } from "../../kernel/create-kernel.js";
import { blocksOf, requireTrials, WORTH_A_THREAD } from "../../kernel/trials/for-each-block.js";
import type { Cell } from "../../lattice/cell.js";
import { cellModel } from "../../predict/cell-model.js";
import { SeatingError } from "../../seating/seating-model.js";
import { claimFrom, type SharedTask, sharedNumbers } from "./shared-task.js";
import {
  type ClosingLimits,
  type KeptValues,
  type MergedTallies,
  mergeTallies,
  type TrialTally,
  tallyTrials,
} from "./trial-tally.js";

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
