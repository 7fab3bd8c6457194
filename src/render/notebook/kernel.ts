import { type ChildProcess, spawn } from "node:child_process";
import { createHmac, randomUUID, timingSafeEqual } from "node:crypto";
import { createRequire } from "node:module";
import type { Dealer, Subscriber } from "zeromq";
import { type Connection, onEarlyEnd, openConnection, type Transport } from "./connection.js";
import { NotebookError } from "./notebook.js";
import { isScript, isUnfitKernel, PRELOAD, type Script } from "./preload.js";

export interface NotebookKernelOptions {
  /** Working directory of the cells. */
  readonly cwd: string;
  readonly env: NodeJS.ProcessEnv;
  readonly transport?: Transport | undefined;
  readonly signal?: AbortSignal | undefined;
  /** How long the kernel may take to answer for the first time, ms. */
  readonly startTimeoutMs: number;
  /** Called with each piece of JavaScript just before it runs. */
  readonly onScript: (script: Script) => void;
}

/** While a kernel starts it is asked again after this time, ms: what is sent before it listens is lost. */
const ASK_AGAIN_MS = 100;
/** How long a kernel may take to end by itself before it is killed, ms. */
const GRACE_MS = 1000;
/** How much of what the kernel prints outside of cells is kept, characters. */
const LOG_LENGTH = 20_000;

/** A running tslab kernel. */
export class Kernel {
  readonly #child: ChildProcess;
  readonly #connection: Connection;
  readonly #shell: Dealer;
  readonly #iopub: Subscriber;
  readonly #signals: AbortSignal[];
  readonly #session: string;
  readonly #life = new AbortController();
  readonly #exited: Promise<unknown>;
  readonly #listeners = new Map<string, (message: Message, fromShell: boolean) => void>();
  readonly #letGo: () => void;
  #log = "";
  #languageInfo: unknown = {};

  private constructor(
    connection: Connection,
    { program, zmq }: KernelProgram,
    options: NotebookKernelOptions,
  ) {
    const { cwd, env, signal, onScript } = options;
    this.#connection = connection;
    const args = [...PRELOAD, program, "kernel", "--config-path", connection.file];
    // A process group of its own, so that whatever the cells have started ends with it.
    const detached = process.platform !== "win32";
    const child = spawn(process.execPath, args, {
      cwd,
      env,
      detached,
      stdio: ["ignore", "pipe", "pipe", "ipc"],
    });
    this.#child = child;
    this.#letGo = onEarlyEnd(() => {
      killGroup(child);
      connection.remove();
    });
    this.#signals = signal ? [this.#life.signal, signal] : [this.#life.signal];
    this.#exited = new Promise<void>((resolve) => {
      child.once("error", (error) => {
        this.#life.abort(error);
        resolve();
      });
      child.once("exit", (code, killedBy) => {
        this.#life.abort(new KernelEnded(code, killedBy, this.#log));
        resolve();
      });
    });
    const keep = (chunk: Buffer) => {
      this.#log = (this.#log + chunk.toString()).slice(-LOG_LENGTH);
    };
    child.stdout!.on("data", keep);
    child.stderr!.on("data", keep);
    child.on("message", (message) => {
      if (isScript(message)) onScript(message);
      else if (isUnfitKernel(message)) this.giveUp(unfitKernel(message.unfit));
    });
    this.#session = randomUUID();
    this.#shell = new zmq.Dealer({ routingId: this.#session, linger: 0 });
    this.#iopub = new zmq.Subscriber({ linger: 0, receiveHighWaterMark: 0 });
    this.#shell.connect(connection.shell);
    this.#iopub.connect(connection.iopub);
    this.#iopub.subscribe();
    void this.#listen(this.#shell, true);
    void this.#listen(this.#iopub, false);
  }

  /**
   * @throws NotebookError when the kernel is not installed
   * @throws KernelTimeout when it does not answer in time
   * @throws KernelEnded when it ends before it answers
   */
  static async start(options: NotebookKernelOptions): Promise<Kernel> {
    options.signal?.throwIfAborted();
    const installed = await findKernel();
    const connection = await openConnection(options.transport);
    let kernel: Kernel | undefined;
    try {
      kernel = new Kernel(connection, installed, options);
      await kernel.#greet(options.startTimeoutMs);
      return kernel;
    } catch (error) {
      if (kernel === undefined) connection.remove();
      else await kernel.stop(0);
      throw error;
    }
  }

  /** `language_info` for the notebook's metadata. */
  get languageInfo(): unknown {
    return this.#languageInfo;
  }

  /**
   * Runs one cell and waits until everything it has sent so far has arrived, including what an unhandled rejection
   * prints, which comes after the reply. What it sends later still reaches `onOutput`.
   *
   * @param limitMs ms
   * @returns the status of the reply, `ok` or not
   * @throws KernelTimeout, KernelEnded, KernelLost
   */
  async execute(code: string, limitMs: number, onOutput: (message: Message) => void): Promise<string> {
    let idle = false;
    const content = { code, silent: false, store_history: true, user_expressions: {}, allow_stdin: false };
    const reply = new Promise<Message>((resolve, reject) => {
      this.#send("execute_request", content, (message, fromShell) => {
        if (fromShell) resolve(message);
        else if (message.type !== "status") onOutput(message);
        else if (message.content.execution_state === "idle") idle = true;
      }).catch(reject);
    });
    const limit = { ms: limitMs, error: () => new KernelTimeout(limitMs) };
    const { content: answer } = await within(reply, this.#signals, limit);
    await this.barrier(limitMs);
    if (!idle) throw new KernelLost();
    return String(answer.status);
  }

  /** Waits until the kernel has turned its event loop once and all it sent before has arrived. */
  barrier(limitMs: number): Promise<void> {
    return this.#ask(limitMs);
  }

  /** Kills the kernel for a reason, with which whatever waits for it is rejected. */
  giveUp(reason: Error): void {
    this.#life.abort(reason);
    killGroup(this.#child);
  }

  /** Ends the kernel; returns when its process is gone. Calling it twice does no harm. */
  async stop(graceMs = GRACE_MS): Promise<void> {
    if (graceMs > 0 && this.#child.connected) this.#child.disconnect();
    else killGroup(this.#child);
    const kill = setTimeout(() => killGroup(this.#child), graceMs);
    await this.#exited;
    clearTimeout(kill);
    killGroup(this.#child);
    this.#shell.close();
    this.#iopub.close();
    this.#connection.remove();
    this.#letGo();
  }

  async #greet(limitMs: number): Promise<void> {
    for (let waited = 0; ; waited += ASK_AGAIN_MS) {
      try {
        return await this.#ask(ASK_AGAIN_MS);
      } catch (error) {
        if (!(error instanceof KernelTimeout)) throw error;
        if (waited >= limitMs) throw new KernelTimeout(limitMs, this.#log);
      }
    }
  }

  /** A question without side effects: done when the answer and the note that the kernel is idle again are both here. */
  async #ask(limitMs: number): Promise<void> {
    let id = "";
    const both = new Promise<void>((resolve, reject) => {
      let answered = false;
      let idle = false;
      this.#send("kernel_info_request", {}, (message, fromShell) => {
        if (fromShell) this.#languageInfo = message.content.language_info;
        answered ||= fromShell;
        idle ||= message.content.execution_state === "idle";
        if (answered && idle) resolve();
      }).then((sent) => {
        id = sent;
      }, reject);
    });
    try {
      await within(both, this.#signals, { ms: limitMs, error: () => new KernelTimeout(limitMs) });
    } finally {
      this.#listeners.delete(id);
    }
  }

  async #send(
    type: string,
    content: object,
    listener: (message: Message, fromShell: boolean) => void,
  ): Promise<string> {
    const { id, frames } = encodeRequest(this.#connection.key, this.#session, type, content);
    this.#listeners.set(id, listener);
    await this.#shell.send(frames);
    return id;
  }

  async #listen(socket: Dealer | Subscriber, fromShell: boolean): Promise<void> {
    try {
      for await (const frames of socket) {
        const message = decodeMessage(this.#connection.key, frames);
        this.#listeners.get(message.answers)?.(message, fromShell);
      }
    } catch (error) {
      this.#life.abort(error);
    }
  }
}

/** Ends a kernel and everything its cells have started, even if the kernel itself has ended before them. */
function killGroup({ pid }: ChildProcess): void {
  if (pid === undefined) return;
  try {
    process.kill(process.platform === "win32" ? pid : -pid, "SIGKILL");
  } catch (error) {
    // Nobody of the group is left.
    if ((error as NodeJS.ErrnoException).code !== "ESRCH") throw error;
  }
}

/** How long a wait may last, and what it is rejected with afterwards. */
interface Limit {
  /** ms, > 0. */
  readonly ms: number;
  readonly error: () => Error;
}

/** The result of `work`, unless one of the signals is aborted or the limit has passed before. */
async function within<T>(work: Promise<T>, signals: readonly AbortSignal[], limit: Limit): Promise<T> {
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

// The Jupyter wire protocol 5.3: [identities…, delimiter, signature, header, parent header, metadata, content].
const DELIMITER = "<IDS|MSG>";

export interface Message {
  readonly type: string;
  /** The `msg_id` of the request this answers. */
  readonly answers: string;
  readonly content: Readonly<Record<string, unknown>>;
}

const sign = (key: string, parts: readonly (string | Buffer)[]): string => {
  const hmac = createHmac("sha256", key);
  for (const part of parts) hmac.update(part);
  return hmac.digest("hex");
};

/** A signed request, ready to send, and its id. */
function encodeRequest(key: string, session: string, type: string, content: object) {
  const id = randomUUID();
  const date = new Date().toISOString();
  const header = { msg_id: id, session, username: "runner", date, msg_type: type, version: "5.3" };
  const parts = [header, {}, {}, content].map((part) => JSON.stringify(part));
  return { id, frames: [DELIMITER, sign(key, parts), ...parts] };
}

/** @throws Error when the frames are no message of the protocol, or are not signed with the key */
function decodeMessage(key: string, frames: readonly Buffer[]): Message {
  const start = frames.findIndex((frame) => frame.toString() === DELIMITER);
  const [signature, ...parts] = frames.slice(start + 1, start + 6);
  if (start < 0 || signature === undefined || parts.length < 4)
    throw new Error("the kernel sent something that is no Jupyter message");
  const right = Buffer.from(sign(key, parts));
  if (right.length !== signature.length || !timingSafeEqual(right, signature))
    throw new Error("a message of the kernel has a wrong signature");
  const [header, parent, , content] = parts.map((part) => JSON.parse(part.toString()));
  return { type: String(header.msg_type), answers: String(parent.msg_id ?? ""), content };
}

/** What a kernel is started with: the path of its program, and the library that speaks to it. */
interface KernelProgram {
  readonly program: string;
  readonly zmq: typeof import("zeromq");
}

/** Finds the kernel, which is not among the dependencies: it would bring a compiler of its own into every project. */
async function findKernel(): Promise<KernelProgram> {
  try {
    const program = createRequire(import.meta.url).resolve("tslab/bin/tslab");
    return { program, zmq: await import("zeromq") };
  } catch (cause) {
    throw new NotebookError(
      "To run a notebook, install its kernel beside sukima: npm install --save-dev tslab zeromq.",
      cause instanceof Error ? cause.message : String(cause),
      { cause },
    );
  }
}

/** The kernel is installed, but not in a version that the runner can take hold of ({@link ./in-kernel.ts}). */
const unfitKernel = (what: string): NotebookError =>
  new NotebookError(
    `The kernel installed beside sukima cannot run a notebook: ${what}. Install the versions that it was written for: npm install --save-dev tslab@1.0.22 zeromq@6.8.0.`,
  );

/** The kernel did not answer in time. */
export class KernelTimeout extends Error {
  override readonly name = "KernelTimeout";

  /** @param limitMs the time it had, ms */
  constructor(
    readonly limitMs: number,
    readonly log = "",
  ) {
    super(`the kernel did not answer within ${limitMs / 1000} s`);
  }
}

/** The kernel's process has ended. */
export class KernelEnded extends Error {
  override readonly name = "KernelEnded";

  constructor(
    readonly code: number | null,
    readonly killedBy: NodeJS.Signals | null,
    readonly log: string,
  ) {
    super(`the kernel's process ended (${killedBy ?? `exit code ${code}`})`);
  }
}

/** The kernel answered, but not everything it sent has arrived. */
export class KernelLost extends Error {
  override readonly name = "KernelLost";

  constructor() {
    super("a part of what the cell printed was lost on the way from the kernel");
  }
}
