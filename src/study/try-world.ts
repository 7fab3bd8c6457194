import { Worker } from "node:worker_threads";
import type { WorkerAnswer, WorkerTask } from "./study-worker.js";
import type { Tried } from "./try-one.js";
import type { WorldName } from "./worlds.js";

export interface TryOptions {
  readonly count: number;
  readonly seed: number;
  readonly workers: number;
  readonly adviceEvery: number;
  readonly onDone?: (done: number) => void;
}

/** All data sets of one world, in their order; those that could not be fitted are counted, not hidden. */
export interface WorldTried {
  readonly tried: readonly Tried[];
  readonly failed: readonly { readonly number: number; readonly fault: string }[];
}

/** Worker threads claim data sets as they get to them; each depends on its number alone, so the result is the same for any number of threads. */
export async function tryWorld(world: WorldName, options: TryOptions): Promise<WorldTried> {
  const { count, seed, workers, adviceEvery, onDone = () => {} } = options;
  const next = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
  const answers: WorkerAnswer[] = [];
  const task: WorkerTask = { world, count, seed, adviceEvery, next };
  const one = (): Promise<void> =>
    new Promise((resolve, reject) => {
      const worker = new Worker(new URL("./study-worker.js", import.meta.url), { workerData: task });
      worker.on("message", (answer: WorkerAnswer) => {
        answers.push(answer);
        onDone(answers.length);
      });
      worker.once("error", reject);
      worker.once("exit", () => resolve());
    });
  await Promise.all(Array.from({ length: Math.min(workers, count) }, one));
  if (answers.length !== count)
    throw new Error(`Of ${count} data sets of ${world} only ${answers.length} came back.`);
  answers.sort((a, b) => a.number - b.number);
  return {
    tried: answers.flatMap(({ tried }) => tried ?? []),
    failed: answers.flatMap(({ number, tried, fault }) => (tried ? [] : [{ number, fault }])),
  };
}
