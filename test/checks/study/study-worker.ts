import { parentPort, workerData } from "node:worker_threads";
import { loadWorld, type Tried, tryOne, type WorldName } from "./try-world.js";

/** What a thread of the study is given. */
export interface WorkerTask {
  readonly world: WorldName;
  readonly count: number;
  readonly seed: number;
  /** Advice is asked for in so many data sets, the first ones. */
  readonly advised: number;
  /** The next data set that nobody has claimed. */
  readonly next: Int32Array;
}

/** A data set done, or the reason why it could not be. */
export interface WorkerAnswer {
  readonly number: number;
  readonly tried: Tried | null;
  readonly fault: string;
}

const { world: name, count, seed, advised, next } = workerData as WorkerTask;
const world = loadWorld(name);
for (let number = Atomics.add(next, 0, 1); number < count; number = Atomics.add(next, 0, 1)) {
  parentPort!.postMessage(answer(number));
}

function answer(number: number): WorkerAnswer {
  try {
    return { number, tried: tryOne(world, number, seed, number < advised), fault: "" };
  } catch (error) {
    return { number, tried: null, fault: error instanceof Error ? error.message : String(error) };
  }
}
