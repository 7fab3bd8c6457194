import { rmSync } from "node:fs";
import { createRequire } from "node:module";
import { dirname } from "node:path";
import vm from "node:vm";
import { isMainThread, Worker, workerData } from "node:worker_threads";

/*
 * Loaded into the kernel's process before tslab (`node --import`), and nowhere else. It does five things that tslab does not do by itself:
 *
 * - the kernel ends, with all that its cells have started, when the runner ends (the channel between them closes), however the runner ends;
 * - it is ended as well when the runner was killed while a cell runs that never gives way: a thread looks whose child it is;
 * - every cell's JavaScript has a name of its own in stack traces, and the runner is told the text, so that an error
 *   is traced to its line in the cell;
 * - messages are sent one after the other: zeromq.js refuses a message sent while another is under way, which happens
 *   after some 500 in one turn of the event loop, and tslab then hangs;
 * - none is dropped: by default ZeroMQ drops what a subscriber has not yet taken beyond 1000.
 *
 * For the last three it takes hold of what tslab 1.0.22 and zeromq 6.8.0 use inside, for neither has an option for it:
 * test/render/notebook/in-kernel.test.ts holds it to the versions installed here. Elsewhere a kernel without these calls is refused when it starts.
 */

/** How often the thread looks whose child the kernel is, ms. */
const LOOK_MS = 500;

/** What the thread is told: whose child the kernel must be, and what to end and remove when it no longer is. */
interface Watch {
  readonly parent: number;
  readonly group: number;
  readonly folder: string;
}

function endAll({ group, folder }: Watch): void {
  rmSync(folder, { recursive: true, force: true });
  process.kill(group, "SIGKILL");
}

function endWithRunner(): void {
  const group = process.platform === "win32" ? process.pid : -process.pid;
  const watch: Watch = { parent: process.ppid, group, folder: dirname(process.argv.at(-1) ?? "") };
  // The runner was killed while this process started: nobody is left to watch for.
  if (!process.connected) {
    endAll(watch);
    return;
  }
  process.on("disconnect", () => {
    process.once("exit", () => endAll(watch));
    process.exit(1);
  });
  new Worker(new URL(import.meta.url), { workerData: watch, execArgv: [] }).unref();
}

/** Gives each cell's script a name and tells the runner its text. tslab runs nothing else with `breakOnSigint`. */
function nameScripts(): void {
  const run = vm.runInThisContext;
  let count = 0;
  vm.runInThisContext = (code, options) => {
    if (typeof options === "string" || options?.breakOnSigint !== true) return run(code, options);
    count += 1;
    const name = `cell-script-${count}.js`;
    if (process.connected) process.send?.({ name, code });
    return run(code, { ...options, filename: name });
  };
}

/** The part of zeromq's publisher that is taken hold of. */
interface Publisher {
  sendHighWaterMark: number;
  bind(address: string): Promise<void>;
  send(message: unknown): Promise<void>;
}

/** Makes the publisher send one message after the other, and drop none. False if this zeromq has no such publisher. */
function sendInOrder(zeromq: { readonly Publisher?: { readonly prototype: Publisher } }): boolean {
  const publisher = zeromq.Publisher?.prototype;
  if (typeof publisher?.bind !== "function" || typeof publisher.send !== "function") return false;
  const { bind, send } = publisher;
  let last: Promise<void> = Promise.resolve();
  Object.defineProperties(publisher, {
    bind: {
      value(this: Publisher, address: string) {
        this.sendHighWaterMark = 0;
        return bind.call(this, address);
      },
    },
    send: {
      value(this: Publisher, message: unknown) {
        last = last.then(() => send.call(this, message));
        return last;
      },
    },
  });
  return true;
}

/** What of the kernel is not as this file needs it, or null. */
function takeHold(): string | null {
  const need = createRequire(process.argv[1] ?? import.meta.url);
  try {
    if (!("lastWriteDisplayData" in need("../dist/jupyter.js"))) return "its tslab has no writer of displays";
  } catch (error) {
    return `its tslab has no dist/jupyter.js (${error instanceof Error ? error.message.split("\n")[0] : error})`;
  }
  if (!sendInOrder(need("zeromq"))) return "its zeromq has no publisher with bind and send";
  nameScripts();
  return null;
}

if (isMainThread) {
  endWithRunner();
  const unfit = takeHold();
  if (unfit !== null && process.connected) process.send?.({ unfit });
} else {
  const watch = workerData as Watch;
  setInterval(() => {
    if (process.ppid !== watch.parent) endAll(watch);
  }, LOOK_MS);
}
