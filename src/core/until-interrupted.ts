import { EXIT } from "./errors.js";

/**
 * Result of `work`, unless Ctrl-C interrupts it; `work` must obey its signal. A second Ctrl-C ends the process at once.
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
  // Not `once`: code that cleans up on a signal lets it end the process when no listener is left.
  process.on("SIGINT", onInterrupt);
  try {
    return await work(stop.signal);
  } finally {
    process.off("SIGINT", onInterrupt);
  }
}

/** Thrown when Ctrl-C interrupts the work. */
export class Interrupted extends Error {
  override readonly name = "Interrupted";
}
