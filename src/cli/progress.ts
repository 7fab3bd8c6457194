/** Milliseconds between two lines: often on a terminal, where a line is written over, seldom in a log. */
const EVERY = { terminal: 200, log: 2000 } as const;
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
