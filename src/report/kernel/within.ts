/** How long a wait may last, and what it is rejected with afterwards. */
export interface Limit {
  /** ms, > 0. */
  readonly ms: number;
  readonly error: () => Error;
}

/** The result of `work`, unless one of the signals is aborted or the limit has passed before. */
export async function within<T>(work: Promise<T>, signals: readonly AbortSignal[], limit: Limit): Promise<T> {
  let reject: (reason: unknown) => void;
  const stopped = new Promise<never>((_resolve, fail) => {
    reject = fail;
  });
  const stop = () => reject(signals.find(({ aborted }) => aborted)?.reason);
  const timer = setTimeout(() => reject(limit.error()), limit.ms);
  for (const signal of signals) signal.addEventListener("abort", stop);
  if (signals.some(({ aborted }) => aborted)) stop();
  try {
    return await Promise.race([work, stopped]);
  } finally {
    clearTimeout(timer);
    for (const signal of signals) signal.removeEventListener("abort", stop);
  }
}
