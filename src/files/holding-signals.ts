/** What a person or a system ends a command with; SIGKILL cannot be held. */
const ENDING = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/** What came during some work is heard a turn of the event loop later, now and then two: after one, one signal in five was lost. */
const TURNS = 3;

let held: readonly NodeJS.Signals[] = [];
let latest = 0;

/**
 * Does work that must not be cut off in the middle: a signal that comes meanwhile ends the process a turn of the event loop later, as it would have ended it at
 * once. Signals that someone listens for already are left to them.
 */
export function holdingSignals<T>(work: () => T): T {
  latest++;
  const own = latest;
  hold();
  try {
    return work();
  } finally {
    after(TURNS, () => {
      if (own === latest) letGo();
    });
  }
}

function hold(): void {
  if (held.length > 0) return;
  held = ENDING.filter((signal) => process.listenerCount(signal) === 0);
  for (const signal of held) process.on(signal, end);
}

function end(signal: NodeJS.Signals): void {
  letGo();
  process.kill(process.pid, signal);
}

function letGo(): void {
  for (const signal of held) process.off(signal, end);
  held = [];
}

function after(turns: number, then: () => void): void {
  if (turns === 0) then();
  else setImmediate(() => after(turns - 1, then));
}
