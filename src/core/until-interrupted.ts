import { EXIT } from "./errors.js";

/**
 * What `work` comes to, unless Ctrl-C ends it before; `work` must heed its signal. A second Ctrl-C ends the process at once.
 *
 * @param sentence what an interruption means
 * @throws Interrupted
 */
export async function untilInterrupted<T>(
  work: (signal: AbortSignal) => Promise<T>,
  sentence: string,
): Promise<T> {
  const stop = new AbortController();
  const onInterrupt = (): void => {
    if (stop.signal.aborted) process.exit(EXIT.interrupted);
    stop.abort(new Interrupted(sentence));
  };
  // Not once: whoever cleans up at a signal lets it end the process when nobody listens any more.
  process.on("SIGINT", onInterrupt);
  try {
    return await work(stop.signal);
  } finally {
    process.off("SIGINT", onInterrupt);
  }
}

/** Ended by Ctrl-C. */
export class Interrupted extends Error {
  override readonly name = "Interrupted";
}
