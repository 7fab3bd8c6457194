import { homedir } from "node:os";
import type { Transport } from "../kernel/connection.js";
import { Kernel, type KernelOptions } from "../kernel/kernel.js";
import { KernelEnded, KernelTimeout } from "../kernel/kernel-errors.js";
import type { PathName } from "../notebook/hide-paths.js";
import { parseNotebook } from "../notebook/parse-notebook.js";
import type { Notebook } from "../notebook/types.js";
import { NotebookError } from "../notebook-error.js";
import type { Failure } from "./failure.js";
import { NotebookRun } from "./notebook-run.js";

/** How long a cell may run, ms. */
export const CELL_TIMEOUT_MS = 600_000;
/** How long the kernel may take to start, ms. */
export const START_TIMEOUT_MS = 60_000;
/** How long the kernel is watched for errors in the background after the last cell, ms. */
export const SETTLE_MS = 100;

export interface RunOptions {
  /** The notebook's name in messages; `notebook` by default. */
  readonly file?: string | undefined;
  /** Working directory of the cells; this process's own by default. */
  readonly cwd?: string | undefined;
  /** Environment of the kernel; this process's own by default. */
  readonly env?: NodeJS.ProcessEnv | undefined;
  /** ms, > 0; `CELL_TIMEOUT_MS` by default. */
  readonly cellTimeoutMs?: number | undefined;
  /** `ipc` where the system has it, else `tcp`. */
  readonly transport?: Transport | undefined;
  /** Ends the run: the kernel is killed and the promise rejected with the signal's reason. */
  readonly signal?: AbortSignal | undefined;
  /** Folders whose paths are hidden in outputs, beside the working directory (`.`) and the home folder (`~`). */
  readonly hide?: readonly PathName[] | undefined;
  /** Called after each cell. */
  readonly onCell?: ((step: CellStep) => void) | undefined;
}

export interface CellStep {
  /** Which code cell, counted from 1; blank cells do not count. */
  readonly cell: number;
  /** How many code cells there are. */
  readonly of: number;
  /** Time it took, ms. */
  readonly ms: number;
  readonly ok: boolean;
}

export interface RunStats {
  /** Time until the kernel answered, ms. */
  readonly startMs: number;
  readonly cells: readonly CellStep[];
  /** From the start of the kernel to its end, ms. */
  readonly totalMs: number;
}

export interface RunResult {
  /** The notebook with its outputs, nbformat 4.5. After a failure the later cells have none. */
  readonly notebook: Notebook;
  readonly stats: RunStats;
  /** The first failure; the cells after it are not run. */
  readonly error: Failure | null;
}

/**
 * Runs a notebook in a fresh tslab kernel, cell by cell, and stops at the first failure. The kernel's process is gone
 * when the promise settles, whatever happened.
 *
 * Errors in the background (timers, promises nobody awaits) fail the run too; one that comes up later than
 * `SETTLE_MS` after the last cell is not seen. A cell that writes a line beginning `UncaughtException: ` or
 * `UnhandledPromiseRejection: ` to the error stream is taken for one, for that is all tslab says.
 *
 * @throws NotebookError when it is no notebook of nbformat 4, has no code to run, or the kernel does not start
 */
export async function runNotebook(notebook: unknown, options: RunOptions = {}): Promise<RunResult> {
  const { file = "notebook", cwd = process.cwd(), env = process.env, signal, transport } = options;
  const executed = parseNotebook(notebook, file);
  const run = new NotebookRun(executed, file);
  if (run.length === 0)
    throw new NotebookError(
      `${file} has nothing to run; a notebook needs a code cell that is not blank; it has none among its ${executed.cells.length} cells (at cells).`,
    );
  const { onScript } = run;
  const began = performance.now();
  const kernel = await startKernel(file, {
    cwd,
    env,
    transport,
    signal,
    startTimeoutMs: START_TIMEOUT_MS,
    onScript,
  });
  const startMs = performance.now() - began;
  const limitMs = options.cellTimeoutMs ?? CELL_TIMEOUT_MS;
  const cells: CellStep[] = [];
  let error: Failure | null = null;
  try {
    for (let cell = 1; cell <= run.length && error === null; cell++) {
      const start = performance.now();
      error = await run.runCell(kernel, cell, limitMs);
      const step = { cell, of: run.length, ms: performance.now() - start, ok: error === null };
      cells.push(step);
      options.onCell?.(step);
    }
    error ??= await run.settle(kernel, SETTLE_MS, limitMs);
  } finally {
    await kernel.stop(error === null ? undefined : 0);
  }
  run.finish([{ path: cwd, as: "." }, { path: homedir(), as: "~" }, ...(options.hide ?? [])]);
  executed.metadata.kernelspec = { display_name: "TypeScript", language: "typescript", name: "tslab" };
  executed.metadata.language_info = kernel.languageInfo;
  return { notebook: executed, stats: { startMs, cells, totalMs: performance.now() - began }, error };
}

async function startKernel(file: string, options: KernelOptions): Promise<Kernel> {
  try {
    return await Kernel.start(options);
  } catch (cause) {
    options.signal?.throwIfAborted();
    const log = cause instanceof KernelTimeout || cause instanceof KernelEnded ? cause.log : "";
    const what = cause instanceof Error ? cause.message : String(cause);
    throw new NotebookError(
      `${file} was not run: its kernel did not start in ${options.cwd}: ${what}.`,
      log,
      {
        cause,
      },
    );
  }
}
