import { setTimeout as delay } from "node:timers/promises";
import type { Kernel } from "../kernel/kernel.js";
import type { Script } from "../kernel/preload.js";
import { hidePaths, type PathName } from "../notebook/hide-paths.js";
import { textOf } from "../notebook/text.js";
import type { CodeCell, Notebook } from "../notebook/types.js";
import { type CellScript, cellLine } from "./cell-line.js";
import { CellOutputs } from "./cell-outputs.js";
import { complaintOf, kernelComplaint } from "./diagnose.js";
import { type Failure, failureOf } from "./failure.js";
import { backgroundComplaint, type Complaint } from "./read-complaints.js";

interface Target {
  readonly cell: CodeCell;
  /** Place among all cells of the notebook, counted from 0. */
  readonly index: number;
  readonly source: string;
  readonly outputs: CellOutputs;
}

/** One pass over a notebook's code cells: what each has sent, and what went wrong. Cells are counted from 1. */
export class NotebookRun {
  readonly #file: string;
  readonly #targets: readonly Target[];
  readonly #scripts: CellScript[] = [];
  #running = 0;

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
      const status = await kernel.execute(source, limitMs, (message) => outputs.add(message));
      return complaintOf(status, source, outputs.complaints);
    });
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
