import { createRequire } from "node:module";

/*
 * Loaded into the kernel that Jupyter starts, before tslab, once `process.argv[1]` is the path of tslab's program: a failing cell says why. tslab 1.0.22 writes the error to the
 * error stream and answers with a status alone, so that `nbconvert` and others report an error without a word. What a cell last wrote to that stream before it failed is sent
 * as an error instead, and given in the answer.
 */

interface CellError {
  readonly ename: string;
  readonly evalue: string;
  readonly traceback: readonly string[];
}
interface Message {
  readonly header: { msg_type: string };
  content: unknown;
  createReply(): Message;
  signAndSend(key: string, socket: unknown): void;
}
type WriteStream = (name: string, text: string) => void;
type WriteDisplay = (data: unknown, update: boolean) => void;
interface Answer {
  readonly status: string;
}
interface Handler {
  handleExecute(content: unknown, writeStream: WriteStream, writeDisplay: WriteDisplay): Promise<Answer>;
}
interface Server {
  readonly handler: Handler;
  readonly connInfo: { readonly key: string };
  readonly iopub: unknown;
  handleExecute(socket: unknown, request: Message): Promise<void>;
}

/** A diagnostic as tslab prints it: one write each. */
const DIAGNOSTIC = /^(?:\S+ )?\d+:\d+ - /;
/** An error as Node prints it: an extract of the source where it is a syntax error, its name, its message, its stack. */
const PRINTED =
  /^(?:[^\n]+:\d+\n[\s\S]*?\^+\s*\n\n)?(?<name>\w*Error)(?: \[\w+\])?: (?<message>[\s\S]*?)(?=\n {4}at |$)/;

function errorOf(told: readonly string[]): CellError {
  const text = told.join("").trimEnd();
  const traceback = text.split("\n");
  if (DIAGNOSTIC.test(text)) return { ename: "TypeCheck", evalue: text, traceback };
  const { name = "Thrown", message = text } = PRINTED.exec(text)?.groups ?? {};
  return { ename: name, evalue: message, traceback };
}

/** A cell's writes, of which the last to the error stream, or all diagnostics, are held back until it is known what they are. */
class HeldWrites {
  readonly #stream: WriteStream;
  readonly #display: WriteDisplay;
  #held: string[] = [];

  constructor(stream: WriteStream, display: WriteDisplay) {
    this.#stream = stream;
    this.#display = display;
  }

  readonly stream: WriteStream = (name, text) => {
    const together = name === "stderr" && [text, ...this.#held].every((one) => DIAGNOSTIC.test(one));
    if (!together) this.flush();
    if (name === "stderr") this.#held.push(text);
    else this.#stream(name, text);
  };

  readonly display: WriteDisplay = (data, update) => {
    this.flush();
    this.#display(data, update);
  };

  flush(): void {
    for (const text of this.take()) this.#stream("stderr", text);
  }

  take(): string[] {
    const held = this.#held;
    this.#held = [];
    return held;
  }
}

const need = createRequire(process.argv[1] ?? import.meta.url);
const { ZmqServer } = need("../dist/jupyter.js") as { readonly ZmqServer: { readonly prototype: Server } };
const { handleExecute } = ZmqServer.prototype;

ZmqServer.prototype.handleExecute = async function (this: Server, socket, request) {
  const { handler, connInfo, iopub } = this;
  const answering: Handler["handleExecute"] = async (content, writeStream, writeDisplay) => {
    const writes = new HeldWrites(writeStream, writeDisplay);
    const answer = await handler.handleExecute(content, writes.stream, writes.display);
    if (answer.status !== "error") {
      writes.flush();
      return answer;
    }
    const error = errorOf(writes.take());
    const message = request.createReply();
    message.header.msg_type = "error";
    message.content = error;
    message.signAndSend(connInfo.key, iopub);
    return { ...answer, ...error };
  };
  const server = Object.create(this, { handler: { value: { handleExecute: answering } } }) as Server;
  await handleExecute.call(server, socket, request);
};
