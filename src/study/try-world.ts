import { Worker } from "node:worker_threads";
import type { WorkerAnswer, WorkerTask } from "./study-worker.js";
import type { Tried } from "./try-one.js";
import type { WorldName } from "./worlds.js";

export interface TryOptions {
  readonly count: number;
  readonly seed: number;
  readonly workers: number;
  /** Advice is judged for so many data sets, the first ones. */
  readonly advised: number;
  /** No data set is begun after so many milliseconds. */
  readonly milliseconds: number;
  readonly onDone?: (done: number) => void;
}

/** All data sets of one world, in their order; those that could not be fitted are counted, not hidden. */
export interface WorldTried {
  readonly tried: readonly Tried[];
  readonly failed: readonly { readonly number: number; readonly fault: string }[];
}

/** Room for short-lived objects, MB: a fit makes many, and sweeping them up less often is a twelfth faster. */
const YOUNG = 192;

/**
 * Worker threads claim data sets as they get to them; each depends on its number alone, so the result is the same for any number of threads.
 * They are claimed in their order and always finished: when the time is up, the result is that of a smaller count.
 */
export async function tryWorld(world: WorldName, options: TryOptions): Promise<WorldTried> {
  const { count, seed, workers, advised, milliseconds, onDone = () => {} } = options;
  const next = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
  const answers: WorkerAnswer[] = [];
  const task: WorkerTask = { world, count, seed, advised, next };
  const one = (): Promise<void> =>
    new Promise((resolve, reject) => {
      const worker = new Worker(new URL("./study-worker.js", import.meta.url), {
        workerData: task,
        resourceLimits: { maxYoungGenerationSizeMb: YOUNG },
      });
      worker.on("message", (answer: WorkerAnswer) => {
        answers.push(answer);
        onDone(answers.length);
      });
      worker.once("error", reject);
      worker.once("exit", () => resolve());
    });
  const timer = setTimeout(() => Atomics.store(next, 0, count), milliseconds);
  await Promise.all(Array.from({ length: Math.min(workers, count) }, one));
  clearTimeout(timer);
  answers.sort((a, b) => a.number - b.number);
  const lost = answers.findIndex(({ number }, k) => number !== k);
  if (lost >= 0 || answers.length === 0)
    throw new Error(`Data set ${Math.max(lost, 0)} of ${world} did not come back.`);
  return {
    tried: answers.flatMap(({ tried }) => tried ?? []),
    failed: answers.flatMap(({ number, tried, fault }) => (tried ? [] : [{ number, fault }])),
  };
}
