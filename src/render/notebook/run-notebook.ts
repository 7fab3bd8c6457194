import { homedir } from "node:os";
import { setTimeout as delay } from "node:timers/promises";
import { CellOutputs, type CellScript, cellLine } from "./cell-outputs.js";
import type { Transport } from "./connection.js";
import {
  backgroundComplaint,
  type Complaint,
  complaintOf,
  type Failure,
  failureOf,
  kernelComplaint,
} from "./failures.js";
import { Kernel, KernelEnded, KernelTimeout, type NotebookKernelOptions } from "./kernel.js";
import {
  type CodeCell,
  hidePaths,
  type Notebook,
  NotebookError,
  type PathName,
  parseNotebook,
  textOf,
} from "./notebook.js";
import type { Script } from "./preload.js";

/** How long a cell may run, ms. */
const CELL_TIMEOUT_MS = 600_000;
/** How long the kernel may take to start, ms. */
const START_TIMEOUT_MS = 180_000;
/** Most characters of all outputs of a run: a page of them must still open in a browser. */
const MOST_OUTPUT = 20e6;
/** How long the kernel is watched for errors in the background after the last cell, ms. */
const SETTLE_MS = 100;

/** How a notebook is run. */
export interface RunOptions {
  /** The notebook's name in messages; `notebook` by default. */
  readonly file?: string | undefined;
  /** Working directory of the cells; this process's own by default. */
  readonly cwd?: string | undefined;
  /** Environment of the kernel; this process's own by default. */
  readonly env?: NodeJS.ProcessEnv | undefined;
  /** Longest time for one cell, milliseconds, > 0; `CELL_TIMEOUT_MS` by default. */
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

/** One code cell that has run. */
export interface CellStep {
  /** Which code cell, counted from 1; blank cells do not count. */
  readonly cell: number;
  /** How many code cells there are. */
  readonly of: number;
  /** Time it took, milliseconds. */
  readonly ms: number;
  readonly ok: boolean;
}

/** How long a run took. */
export interface RunStats {
  /** Time until the kernel answered, milliseconds. */
  readonly startMs: number;
  readonly cells: readonly CellStep[];
  /** From the start of the kernel to its end, milliseconds. */
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

async function startKernel(file: string, options: NotebookKernelOptions): Promise<Kernel> {
  try {
    return await Kernel.start(options);
  } catch (cause) {
    options.signal?.throwIfAborted();
    if (cause instanceof NotebookError) throw cause;
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

interface Target {
  readonly cell: CodeCell;
  /** Place among all cells of the notebook, counted from 0. */
  readonly index: number;
  readonly source: string;
  readonly outputs: CellOutputs;
}

/** One pass over a notebook's code cells: what each has sent, and what went wrong. Cells are counted from 1. */
class NotebookRun {
  readonly #file: string;
  readonly #targets: readonly Target[];
  readonly #scripts: CellScript[] = [];
  #running = 0;
  /** Characters of all outputs so far. */
  #kept = 0;

  /** Takes the outputs off the notebook's cells. Blank cells are not run. */
  constructor(notebook: Notebook, file: string) {
    this.#file = file;
    const displays = new Map();
    this.#targets = notebook.cells.flatMap((cell, index) => {
      if (cell.cell_type !== "code") return [];
      cell.outputs = [];
      cell.execution_count = null;
      const source = textOf(cell.source);
      return source.trim() === "" ? [] : [{ cell, index, source, outputs: new CellOutputs(displays) }];
    });
  }

  /** How many cells there are to run. */
  get length(): number {
    return this.#targets.length;
  }

  /** Takes note of the JavaScript that is about to run. */
  readonly onScript = (script: Script): void => {
    const source = this.#targets[this.#running - 1]?.source ?? "";
    this.#scripts.push({ ...script, cell: this.#running, source });
  };

  /** Runs one cell. @returns what went wrong, in it or in the background */
  runCell(kernel: Kernel, number: number, limitMs: number): Promise<Failure | null> {
    this.#running = number;
    const { cell, source, outputs } = this.#targets[number - 1]!;
    cell.execution_count = number;
    return this.#attempt(async () => {
      const status = await kernel.execute(source, limitMs, (message) => {
        this.#kept += JSON.stringify(message.content).length;
        if (this.#kept <= MOST_OUTPUT) outputs.add(message);
        else kernel.giveUp(this.#tooMuch(number));
      });
      return complaintOf(status, source, outputs.complaints);
    });
  }

  #tooMuch(cell: number): NotebookError {
    return new NotebookError(
      `${this.#file} was stopped in cell ${cell}: its outputs are too large; together they have at most ${MOST_OUTPUT / 1e6} million characters; draw fewer or smaller pictures, or print less.`,
    );
  }

  /** Gives what is still under way after the last cell some time (ms) to fail. */
  settle(kernel: Kernel, settleMs: number, limitMs: number): Promise<Failure | null> {
    return this.#attempt(async () => {
      await delay(settleMs);
      await kernel.barrier(limitMs);
      return null;
    });
  }

  /** Puts the outputs into the notebook. */
  finish(hide: readonly PathName[]): void {
    for (const { cell, outputs } of this.#targets) cell.outputs = hidePaths(outputs.finished(), hide);
  }

  /** The kernel's end or silence is a failure of the cell; any other error passes through. */
  async #attempt(work: () => Promise<Complaint | null>): Promise<Failure | null> {
    try {
      const complaint = await work();
      return complaint === null ? this.#background() : this.#failure(complaint, this.#running);
    } catch (error) {
      const complaint = kernelComplaint(error);
      if (complaint === null) throw error;
      return this.#failure(complaint, this.#running);
    }
  }

  /** An error in the background is told to the cell that was the last to run when it came up. */
  #background(): Failure | null {
    for (const [i, { outputs }] of this.#targets.entries()) {
      const complaint = backgroundComplaint(outputs.complaints);
      if (complaint !== null) return this.#failure(complaint, i + 1);
    }
    return null;
  }

  #failure({ kind, reason, line, told, error }: Complaint, receiver: number): Failure {
    this.#targets[receiver - 1]!.outputs.fail(error, told);
    const detail = error.traceback.join("\n");
    const at = line === null ? cellLine(detail, this.#scripts, receiver) : { cell: receiver, line };
    const cell = at?.cell ?? receiver;
    const { index } = this.#targets[cell - 1]!;
    return failureOf({ kind, notebook: this.#file, cell, index, line: at?.line ?? null, reason, detail });
  }
}
