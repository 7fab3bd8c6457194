import { Tape } from "./tape.js";
import { type RunPair, toJavaScript } from "./to-javascript.js";
import { ConstantTable, DOUBLE, deskBytes, toWasm } from "./to-wasm.js";
import type { Routine } from "./value.js";
import { wasmModule } from "./wasm-bytes.js";
import { webAssembly } from "./webassembly.js";

export type EngineKind = "wasm" | "javascript";

/** Routines ready to run on the records of one memory. */
export interface Engine<Name extends string> {
  readonly kind: EngineKind;
  readonly memory: Float64Array;
  /** Word of the memory where the records begin. */
  readonly records: number;
  /** Runs a routine on the two trials whose records start at these words; the same word twice for a single trial. */
  readonly run: Readonly<Record<Name, RunPair>>;
}

const PAGE_BYTES = 65_536;

/**
 * The one door to the machine: WebAssembly where the engine has its SIMD instructions, else plain JavaScript with the same results, bit for bit.
 *
 * @param words of memory for records.
 * @param wanted asks for one of the two; by default WebAssembly when there is any.
 */
export function createEngine<Name extends string>(
  routines: Readonly<Record<Name, Routine>>,
  words: number,
  wanted?: EngineKind,
): Engine<Name> {
  const kind = wanted ?? (hasSimd() ? "wasm" : "javascript");
  const named = Object.entries<Routine>(routines) as [Name, Routine][];
  if (kind === "javascript" || webAssembly === undefined) {
    const memory = new Float64Array(words);
    const run = Object.fromEntries(named.map(([name, routine]) => [name, toJavaScript(routine, memory)]));
    return { kind, memory, records: 0, run: run as Record<Name, RunPair> };
  }
  // The memory: the desk, the constants, then the records.
  const constants = new ConstantTable(Math.max(...named.map(([, routine]) => deskBytes(routine))));
  const bytes = wasmModule(named.map(([, routine]) => toWasm(routine, constants)));
  const records = constants.end / DOUBLE;
  const pages = Math.ceil(((records + words) * DOUBLE) / PAGE_BYTES);
  const memory = new webAssembly.Memory({ initial: pages, maximum: pages });
  const view = new Float64Array(memory.buffer);
  constants.writeTo(view);
  const { exports } = new webAssembly.Instance(new webAssembly.Module(bytes), { door: { memory } });
  return { kind, memory: view, records, run: exports as unknown as Record<Name, RunPair> };
}

/** Whether this JavaScript engine compiles SIMD: asked with the smallest routine that uses it. */
function hasSimd(): boolean {
  if (webAssembly === undefined) return false;
  const tape = new Tape();
  tape.store(0, tape.load(0));
  return webAssembly.validate(wasmModule([toWasm(tape.finish("question"), new ConstantTable(0))]));
}
