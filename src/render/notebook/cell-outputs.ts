import type { Message } from "./kernel.js";
import {
  type DisplayOutput,
  type ErrorOutput,
  linesOf,
  type Metadata,
  type MimeBundle,
  type Output,
  type StreamOutput,
} from "./notebook.js";

/** Displays that a later message may replace, by their id; shared by the cells of one run. */
type Displays = Map<string, DisplayOutput[]>;

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

/** A cell of which JavaScript was made, with the text before and after. */
export interface CellScript {
  /** The name the script has in stack traces. */
  readonly name: string;
  readonly code: string;
  /** Which code cell it is, counted from 1. */
  readonly cell: number;
  /** The cell's own text. */
  readonly source: string;
}

/** A line of a cell, both counted from 1. */
interface CellLine {
  readonly cell: number;
  readonly line: number | null;
}

const FRAME = /(cell-script-\d+\.js):(\d+):\d+/g;

/**
 * Where in the notebook an error came from: the innermost call that lies in the cell that was running, or, when no
 * call does, in any cell.
 *
 * @param stack the error as printed, with its stack
 */
export function cellLine(stack: string, scripts: readonly CellScript[], running: number): CellLine | null {
  const frames = [...stack.matchAll(FRAME)].flatMap(([, name, line]) => {
    const script = scripts.find((candidate) => candidate.name === name);
    return script ? [{ script, line: Number(line) }] : [];
  });
  const frame = frames.find(({ script }) => script.cell === running) ?? frames[0];
  if (frame === undefined) return null;
  const { cell, code, source } = frame.script;
  return { cell, line: lineBefore(frame.line, code, source) };
}

/**
 * The line of `source` that line `line` of the JavaScript made of it came from. tslab makes no source map, so the two
 * texts are laid side by side: of all pairings that keep the order, the one whose lines have most words in common.
 */
function lineBefore(line: number, code: string, source: string): number | null {
  const made = code.split("\n").map(words);
  const own = source.split("\n").map(words);
  // best[i][j]: the score of the first i made lines against the first j of the cell's own.
  const best = Array.from({ length: made.length + 1 }, () => new Float64Array(own.length + 1));
  for (let i = 1; i <= made.length; i++)
    for (let j = 1; j <= own.length; j++)
      best[i]![j] = Math.max(
        best[i - 1]![j]!,
        best[i]![j - 1]!,
        best[i - 1]![j - 1]! + likeness(made[i - 1]!, own[j - 1]!),
      );
  for (let i = made.length, j = own.length; i > 0 && j > 0; ) {
    if (best[i]![j] === best[i]![j - 1]) j--;
    else if (best[i]![j] === best[i - 1]![j]) i--;
    else if (i <= line) return j;
    else {
      i--;
      j--;
    }
  }
  return null;
}

const ADDED = new Set(["exports", "tsLastExpr"]);

const words = (line: string): string[] =>
  (line.match(/[A-Za-z_$][\w$]*|\d[\w.]*/g) ?? []).filter((word) => !ADDED.has(word));

/** Words in common, times their share of all words: long matches count more than short ones. */
function likeness(a: readonly string[], b: readonly string[]): number {
  const left = [...b];
  let common = 0;
  for (const word of a) {
    const at = left.indexOf(word);
    if (at < 0) continue;
    left.splice(at, 1);
    common++;
  }
  return common === 0 ? 0 : (2 * common * common) / (a.length + b.length);
}
