type Undo = () => void;

const undos = new Set<Undo>();
const SIGNALS = ["SIGINT", "SIGTERM", "SIGHUP"] as const;

/**
 * Has `undo` run if this process ends, by itself or by a signal, before the returned function is called. `undo` must
 * be synchronous; one that throws does not keep the others from running.
 */
export function onEarlyEnd(undo: Undo): () => void {
  if (undos.size === 0) install();
  undos.add(undo);
  return () => {
    if (undos.delete(undo) && undos.size === 0) uninstall();
  };
}

function runAll(): void {
  for (const undo of undos) {
    try {
      undo();
    } catch {
      // The process is ending: the next one still has its turn.
    }
  }
  undos.clear();
  uninstall();
}

/** Cleans up, then lets the signal do what it would have done without this file. */
function onSignal(signal: NodeJS.Signals): void {
  runAll();
  if (process.listenerCount(signal) === 0) process.kill(process.pid, signal);
}

function install(): void {
  process.on("exit", runAll);
  for (const signal of SIGNALS) process.on(signal, onSignal);
}

function uninstall(): void {
  process.off("exit", runAll);
  for (const signal of SIGNALS) process.off(signal, onSignal);
}
