import { Worker } from "node:worker_threads";
import type { LifeMessage, LifeStart } from "./sign-of-life.js";

/** Milliseconds between two lines: often on a terminal, where a line is written over, seldom in a log. */
const EVERY = { terminal: 200, log: 1500 } as const;
const STAGES = {
  cells: "cells",
  orders: "first against exact order",
  budget: "rounds of the budget",
  panels: "panels",
  ways: "ways of making it",
} as const;

/** What a long command tells of itself. */
interface Progress {
  readonly stage: keyof typeof STAGES;
  readonly done: number;
  readonly of: number;
  readonly perSecond: number;
  readonly secondsLeft: number;
}

/** Shows how far a long command is, on the error stream so that the answer can be piped. */
function progressLine(stream: NodeJS.WriteStream): {
  show: (progress: Progress) => void;
  end: () => void;
} {
  const terminal = stream.isTTY ?? false;
  let last = Number.NEGATIVE_INFINITY;
  let pending = false;
  return {
    show(progress) {
      const now = performance.now();
      if (now - last < EVERY[terminal ? "terminal" : "log"]) return;
      last = now;
      pending = terminal;
      signOfLife()?.clear();
      signOfLife()?.spoke(STAGES[progress.stage]);
      stream.write(terminal ? `\r\x1b[K${lineOf(progress)}` : `${lineOf(progress)}\n`);
    },
    end() {
      if (pending) stream.write("\r\x1b[K");
      pending = false;
    },
  };
}

function lineOf({ stage, done, of, perSecond, secondsLeft }: Progress): string {
  if (done === 0) return `… ${STAGES[stage]}`;
  const rate = perSecond < 100 ? perSecond.toFixed(1) : Math.round(perSecond).toLocaleString("en");
  return `… ${done.toLocaleString("en")} of ${of.toLocaleString("en")} ${STAGES[stage]}, ${rate} a second, ${Math.ceil(secondsLeft)} s left`;
}

/**
 * Runs a long command, telling how far it is. Ctrl-C aborts its signal, so that it ends with what is known so far; a second one ends the process at once.
 */
export async function withProgress<T>(
  work: (tell: {
    readonly signal: AbortSignal;
    readonly onProgress: (progress: Progress) => void;
  }) => Promise<T>,
): Promise<T> {
  const stop = new AbortController();
  const onInterrupt = (): void => stop.abort();
  process.once("SIGINT", onInterrupt);
  const line = progressLine(process.stderr);
  try {
    return await work({ signal: stop.signal, onProgress: line.show });
  } finally {
    line.end();
    process.off("SIGINT", onInterrupt);
  }
}

/** The thread that speaks for a command while its own thread is busy. */
export interface LifeThread {
  /** Before the command prints anything: takes away the thread's unfinished line. */
  readonly clear: () => void;
  readonly spoke: (step: string | null) => void;
  /** How far the step has come: shown with the next line that is due. */
  readonly further: (step: string) => void;
  readonly end: () => Promise<void>;
}

/** The thread of this process, as its error stream is one; `null` before it is started. */
let running: LifeThread | null = null;

/** The thread that speaks for this process, if it runs. */
export const signOfLife = (): LifeThread | null => running;

/** Starts it. It keeps no process alive. */
export function startSignOfLife(stream: NodeJS.WriteStream): void {
  const open = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
  const workerData: LifeStart = {
    started: performance.timeOrigin,
    terminal: stream.isTTY ?? false,
    open,
  };
  const thread = new Worker(new URL("./sign-of-life-thread.js", import.meta.url), {
    workerData,
    execArgv: [],
    stdout: true,
    stderr: true,
  });
  thread.unref();
  // Without it a command is silent, and no less right.
  thread.on("error", () => {});
  running = {
    clear() {
      if (Atomics.exchange(open, 0, 0) === 1) stream.write("\r\x1b[K");
    },
    spoke: (step) => thread.postMessage({ step } satisfies LifeMessage),
    further: (step) => thread.postMessage({ step: null, further: step } satisfies LifeMessage),
    async end() {
      await thread.terminate();
    },
  };
}
