/** What the kernel tells the runner about each piece of JavaScript it is about to run. */
export interface Script {
  /** The name stack traces use, `cell-script-N.js`. */
  readonly name: string;
  readonly code: string;
}

/**
 * Five things tslab does not do by itself, loaded into its process before it starts:
 *
 * - it ends when the runner ends (the channel between them closes), however the runner ends;
 * - it is ended as well when the runner was killed while a cell runs that never gives way: a thread looks whose child it is;
 * - every cell's JavaScript has a name of its own in stack traces, and the runner is told the text, so that an error
 *   is traced to its line in the cell;
 * - messages are sent one after the other: zeromq.js refuses a message sent while another is under way, which happens
 *   after some 500 in one turn of the event loop, and tslab then hangs;
 * - none is dropped: by default ZeroMQ drops what a subscriber has not yet taken beyond 1000.
 */
const SOURCE = `
import vm from "node:vm";
import { createRequire } from "node:module";
import { Worker } from "node:worker_threads";

process.on("disconnect", () => process.exit(1));

const orphaned = "setInterval(() => { if (process.ppid !== " + process.ppid + ") process.kill(process.pid, 'SIGKILL'); }, 500)";
new Worker(orphaned, { eval: true, execArgv: [] }).unref();

const run = vm.runInThisContext;
let count = 0;
vm.runInThisContext = (code, options) => {
  if (options?.breakOnSigint !== true) return run(code, options);
  const name = "cell-script-" + ++count + ".js";
  if (process.connected) process.send({ name, code });
  return run(code, { ...options, filename: name });
};

const { Publisher } = createRequire(process.argv[1])("zeromq");
const { bind, send } = Publisher.prototype;
let last = Promise.resolve();
Object.defineProperties(Publisher.prototype, {
  bind: { value(address) { this.sendHighWaterMark = 0; return bind.call(this, address); } },
  send: { value(message) { return (last = last.then(() => send.call(this, message))); } },
});
`;

/** The arguments that make `node` load it. A data URL needs no file beside the compiled code. */
export const PRELOAD = ["--import", `data:text/javascript,${encodeURIComponent(SOURCE)}`];

export function isScript(message: unknown): message is Script {
  const { name, code } = (message ?? {}) as Partial<Script>;
  return typeof name === "string" && typeof code === "string";
}
