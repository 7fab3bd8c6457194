import { parentPort, workerData } from "node:worker_threads";
import { type ErrorCode, UserError } from "../errors.js";

/** Work done block by block, with a total over the blocks. Both results must be structured-cloneable. */
export interface BlockWork<Row, Total> {
  /** Does one block. The result depends only on the block's number. */
  work(block: number): Row;
  /** Total over all blocks done on this thread. */
  total(): Total;
}

/** Data with which a thread is started. */
export interface ThreadStart {
  /** URL of the module that exports the function `start`, which makes the work from the task. */
  readonly module: string;
  readonly start: string;
  readonly task: unknown;
  /** One number, shared by all threads: the next block that no thread has claimed. */
  readonly next: Int32Array;
}

/** An order to a thread: work up to a block, or report the total. */
export type ThreadOrder = { readonly until: number } | "total";

/** An error as plain data. */
export interface ErrorData {
  readonly name: string;
  readonly message: string;
  readonly stack: string | undefined;
  /** The code of a UserError. */
  readonly code: ErrorCode | undefined;
  /** The key of a UserError. */
  readonly key: readonly string[];
}

/** `done`: the thread has claimed its last block below the limit it was given. */
export type ThreadAnswer =
  | { readonly block: number; readonly row: unknown }
  | "done"
  | { readonly total: unknown }
  | { readonly error: ErrorData };

if (parentPort) serve(parentPort, workerData as ThreadStart);

/** Entry of a further thread of a worker pool: claims blocks, sends back their rows, and ends when its pool ends it. */
function serve(port: NonNullable<typeof parentPort>, { module, start, task, next }: ThreadStart): void {
  const say = (answer: ThreadAnswer): void => port.postMessage(answer);
  const ready = import(module).then(
    (exported: Record<string, (task: unknown) => BlockWork<unknown, unknown>>) => {
      const make = exported[start];
      if (!make) throw new TypeError(`${module} exports no function "${start}".`);
      return make(task);
    },
  );
  // Reported on the first order.
  ready.catch(() => {});
  port.on("message", async (order: ThreadOrder) => {
    try {
      const work = await ready;
      if (order === "total") {
        say({ total: work.total() });
        return;
      }
      for (let block = claim(next); block < order.until; block = claim(next))
        say({ block, row: work.work(block) });
      say("done");
    } catch (error) {
      // No thread claims another block.
      if (order !== "total") Atomics.store(next, 0, order.until);
      say({ error: asData(error) });
    }
  });
}

const claim = (next: Int32Array): number => Atomics.add(next, 0, 1);

function asData(error: unknown): ErrorData {
  if (!(error instanceof Error))
    return { name: "Error", message: String(error), stack: undefined, code: undefined, key: [] };
  const { name, message, stack } = error;
  const { code, key } = error instanceof UserError ? error : { code: undefined, key: [] };
  return { name, message, stack, code, key };
}
