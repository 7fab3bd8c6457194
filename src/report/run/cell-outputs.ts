import type { Message } from "../kernel/wire.js";
import { linesOf } from "../notebook/text.js";
import type {
  DisplayOutput,
  ErrorOutput,
  Metadata,
  MimeBundle,
  Output,
  StreamOutput,
} from "../notebook/types.js";

/** Displays that a later message may replace, by their id; shared by the cells of one run. */
export type Displays = Map<string, DisplayOutput[]>;

/** Collects what one cell sends, in the order it comes. */
export class CellOutputs {
  readonly #displays: Displays;
  #raw: Output[] = [];

  constructor(displays: Displays) {
    this.#displays = displays;
  }

  add({ type, content }: Message): void {
    if (type === "stream")
      this.#raw.push({ output_type: "stream", name: String(content.name), text: String(content.text) });
    else if (type === "display_data") this.#display(content);
    else if (type === "update_display_data")
      for (const shown of this.#displays.get(displayId(content) ?? "") ?? [])
        Object.assign(shown, bundleOf(content));
    else if (type === "execute_result") {
      const count = typeof content.execution_count === "number" ? content.execution_count : null;
      this.#raw.push({ output_type: "execute_result", execution_count: count, ...bundleOf(content) });
    }
  }

  /** What the cell wrote to the error stream, one entry a write. */
  get complaints(): string[] {
    return this.#raw.filter(isComplaint).map(({ text }) => String(text));
  }

  /** Puts a proper error in the place of the complaints that told of it: tslab sends no message of its own for it. */
  fail(error: ErrorOutput, complaints: readonly string[]): void {
    this.#raw = this.#raw.filter(
      (output) => !isComplaint(output) || !complaints.includes(String(output.text)),
    );
    this.#raw.push(error);
  }

  /** The outputs as nbformat stores them: neighbouring writes to one stream joined, texts as lists of lines. */
  finished(): Output[] {
    const joined: Output[] = [];
    for (const output of this.#raw) {
      const last = joined.at(-1);
      if (output.output_type === "stream" && last?.output_type === "stream" && last.name === output.name)
        last.text = `${last.text}${output.text}`;
      else joined.push({ ...output });
    }
    return joined.map(withLines);
  }

  #display(content: Message["content"]): void {
    const output: DisplayOutput = { output_type: "display_data", ...bundleOf(content) };
    const id = displayId(content);
    if (id !== undefined) this.#displays.set(id, [...(this.#displays.get(id) ?? []), output]);
    this.#raw.push(output);
  }
}

const isComplaint = (output: Output): output is StreamOutput =>
  output.output_type === "stream" && output.name === "stderr";

function displayId(content: Message["content"]): string | undefined {
  const { display_id } = (content.transient ?? {}) as { display_id?: string };
  return display_id;
}

function bundleOf(content: Message["content"]): { data: MimeBundle; metadata: Metadata } {
  return { data: (content.data ?? {}) as MimeBundle, metadata: (content.metadata ?? {}) as Metadata };
}

const isText = (mime: string): boolean => mime.startsWith("text/") || mime === "image/svg+xml";

function withLines(output: Output): Output {
  if (output.output_type === "stream") return { ...output, text: linesOf(String(output.text)) };
  if (output.output_type === "error") return output;
  const data = Object.entries(output.data).map(([mime, value]) => [
    mime,
    typeof value === "string" && isText(mime) ? linesOf(value) : value,
  ]);
  return { ...output, data: Object.fromEntries(data) };
}
