import { Worker } from "node:worker_threads";
import type { Cell } from "../../model/cell/cell.js";
import { createSeater, type SeaterOptions } from "../../physics/kernel/fitted-kernel.js";
import { cellModel } from "../../physics/predict/cell-model.js";
import { ForecastError } from "./forecast-sources.js";
import {
  type BlockRow,
  BlockTally,
  type ForecastCounts,
  type ForecastLimits,
  mergeCounts,
} from "./tally-blocks.js";

/** All that a thread must be told before the first round. */
export interface CrewTask {
  readonly cell: Cell;
  readonly kernel: SeaterOptions;
  readonly limits: ForecastLimits;
  /** Most trials there will be. */
  readonly trials: number;
  readonly seed: number;
  /** One number, shared by all threads: the next block that is not claimed. */
  readonly next: Int32Array;
}

/** What a thread is asked: to work until a block is reached, or (`null`) for all it has counted. */
export interface CrewOrder {
  readonly until: number | null;
}

export interface CrewAnswer {
  readonly rows?: readonly BlockRow[];
  readonly counts?: ForecastCounts;
  readonly failure?: string;
}

/** Threads that share blocks of trials among them, this one included. Which thread did which block leaves no trace in what comes out. */
export class Crew {
  readonly #next: Int32Array;
  readonly #tally: BlockTally;
  readonly #workers: readonly Worker[];
  readonly #rows: BlockRow[] = [];

  constructor(task: Omit<CrewTask, "next">, threads: number) {
    this.#next = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
    const { cell, kernel, limits, trials, seed } = task;
    this.#tally = new BlockTally(createSeater(cellModel(cell), kernel), limits, trials, seed);
    const workerData: CrewTask = { ...task, next: this.#next };
    this.#workers = Array.from(
      { length: threads - 1 },
      () => new Worker(new URL("./crew-worker.js", import.meta.url), { workerData }),
    );
  }

  /** The blocks that are done, in their order. */
  get rows(): readonly BlockRow[] {
    return this.#rows;
  }

  /**
   * Works until every block before `until` is done, or `stopped` says so; what has been begun is finished.
   *
   * @param onBlock told how many blocks have been taken up, after each of this thread's own.
   */
  async work(until: number, stopped: () => boolean, onBlock: (begun: number) => void): Promise<void> {
    Atomics.store(this.#next, 0, this.#rows.length);
    const elsewhere = Promise.all(this.#workers.map((worker) => answerOf(worker, { until })));
    // Awaited below, unless this thread fails first.
    elsewhere.catch(() => {});
    for (let index = this.#claim(); index < until; index = this.#claim()) {
      this.#rows.push(this.#tally.work(index));
      onBlock(Math.min(Atomics.load(this.#next, 0), until));
      await new Promise((resolve) => setImmediate(resolve));
      if (stopped()) Atomics.store(this.#next, 0, until);
    }
    for (const { rows = [] } of await elsewhere) this.#rows.push(...rows);
    this.#rows.sort((a, b) => a.index - b.index);
  }

  /** All that was counted. */
  async counts(): Promise<ForecastCounts> {
    const others = await Promise.all(this.#workers.map((worker) => answerOf(worker, { until: null })));
    return mergeCounts([this.#tally.counts, ...others.map(({ counts }) => counts!)]);
  }

  /** Ends the threads. */
  async dismiss(): Promise<void> {
    await Promise.all(this.#workers.map((worker) => worker.terminate()));
  }

  #claim = (): number => Atomics.add(this.#next, 0, 1);
}

function answerOf(worker: Worker, order: CrewOrder): Promise<CrewAnswer> {
  return new Promise((resolve, reject) => {
    worker.once("error", reject);
    worker.once("message", (answer: CrewAnswer) => {
      worker.off("error", reject);
      if (answer.failure === undefined) resolve(answer);
      else reject(new ForecastError(answer.failure));
    });
    worker.postMessage(order);
  });
}
