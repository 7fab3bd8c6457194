import { type ResourceLimits, Worker } from "node:worker_threads";
import { UserError } from "../errors.js";
import type { BlockWork, ErrorData, ThreadAnswer, ThreadOrder, ThreadStart } from "./pool-thread.js";

/** The task of a pool. */
export interface PoolTask<Task, Row, Total> {
  /** Makes the work from the task. `module` must export it under the function's own name. */
  readonly start: (task: Task) => BlockWork<Row, Total>;
  /** URL of the built module that exports `start`; each thread imports it. */
  readonly module: URL;
  /** Plain data, sent to every thread by structured clone. */
  readonly task: Task;
}

/** Largest number of threads: each takes some 20 MB, and more than there are cores gain nothing. */
export const MOST_POOL_THREADS = 32;

/** The threads of a pool. */
export interface PoolOptions {
  /** Number of threads, ≥ 1. */
  readonly threads: number;
  /** Whether the calling thread is one of them, default true; it yields to the event loop after each of its blocks. */
  readonly callerWorks?: boolean;
  /** Memory limit of each further thread. */
  readonly resourceLimits?: ResourceLimits;
}

/**
 * Threads that share the blocks of one task: each claims the next unclaimed block. A block's result depends only on its number, and
 * rows are kept in the order of the blocks, so the result does not depend on which thread did which block. Call `close` when done.
 */
export class WorkerPool<Task, Row, Total> {
  readonly #next = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
  readonly #own: BlockWork<Row, Total> | null;
  readonly #threads: readonly Worker[];
  readonly #rows: Row[] = [];
  #until = 0;

  /** @throws whatever `start` throws */
  constructor({ start, module, task }: PoolTask<Task, Row, Total>, options: PoolOptions) {
    const { threads, callerWorks = true, resourceLimits } = options;
    this.#own = callerWorks ? start(task) : null;
    const workerData: ThreadStart = { module: module.href, start: start.name, task, next: this.#next };
    this.#threads = Array.from(
      { length: callerWorks ? threads - 1 : threads },
      () =>
        new Worker(new URL("./pool-thread.js", import.meta.url), {
          workerData,
          ...(resourceLimits && { resourceLimits }),
        }),
    );
  }

  /** Results of the finished blocks in their order: blocks 0, 1, 2 … without a gap. */
  get rows(): readonly Row[] {
    return this.#rows;
  }

  /** Stops claiming blocks; blocks already begun are finished. */
  stop(): void {
    Atomics.store(this.#next, 0, this.#until);
  }

  /**
   * Works until every block below `until` is done, or `stop` was called.
   *
   * @param onBlock called after each block with the number of blocks begun so far; may call `stop`.
   * @throws the first error of any thread; a UserError keeps its class and code
   */
  async work(until: number, onBlock: (begun: number) => void = () => {}): Promise<void> {
    this.#until = until;
    Atomics.store(this.#next, 0, this.#rows.length);
    const begun = (): void => onBlock(Math.min(Atomics.load(this.#next, 0), until));
    const keep = (block: number, row: unknown): void => {
      this.#rows[block] = row as Row;
      begun();
    };
    const elsewhere = Promise.all(this.#threads.map((thread) => ask(thread, { until }, keep)));
    // Awaited below, unless this thread fails first.
    elsewhere.catch(() => {});
    try {
      if (this.#own) await this.#workHere(this.#own, until, keep);
    } catch (error) {
      this.stop();
      throw error;
    }
    await elsewhere;
  }

  async #workHere(
    own: BlockWork<Row, Total>,
    until: number,
    keep: (block: number, row: Row) => void,
  ): Promise<void> {
    for (let block = this.#claim(); block < until; block = this.#claim()) {
      keep(block, own.work(block));
      await new Promise((resolve) => setImmediate(resolve));
    }
  }

  /** The totals of all threads. */
  async totals(): Promise<Total[]> {
    const others = await Promise.all(this.#threads.map((thread) => ask(thread, "total", () => {})));
    return [...(this.#own ? [this.#own.total()] : []), ...(others as Total[])];
  }

  /** Ends the threads at once, even in the middle of a block. */
  async close(): Promise<void> {
    await Promise.all(this.#threads.map((thread) => thread.terminate()));
  }

  #claim(): number {
    return Atomics.add(this.#next, 0, 1);
  }
}

/** Gives a thread an order and waits until it is done; returns the total if the order asked for it. */
function ask(
  thread: Worker,
  order: ThreadOrder,
  keep: (block: number, row: unknown) => void,
): Promise<unknown> {
  return new Promise((resolve, reject) => {
    const finish = (end: () => void): void => {
      thread.off("error", onError);
      thread.off("exit", onExit);
      thread.off("message", onMessage);
      end();
    };
    const onError = (error: Error): void => finish(() => reject(error));
    const onExit = (): void => finish(() => reject(new Error("A thread of the worker pool ended early.")));
    const onMessage = (answer: ThreadAnswer): void => {
      if (answer === "done") finish(() => resolve(undefined));
      else if ("block" in answer) keep(answer.block, answer.row);
      else if ("total" in answer) finish(() => resolve(answer.total));
      else finish(() => reject(asError(answer.error)));
    };
    thread.on("error", onError);
    thread.on("exit", onExit);
    thread.on("message", onMessage);
    thread.postMessage(order);
  });
}

/** Rebuilds an error of another thread so that it can be thrown here. */
function asError({ name, message, stack, code, key }: ErrorData): Error {
  const error = code === undefined ? new Error(message) : new UserError(code, message, { key });
  Object.defineProperty(error, "name", { value: name });
  if (stack !== undefined) error.stack = stack;
  return error;
}
