import { type Entry, namedEntries, type Op, type Routine, Tape } from "./tape.js";
import { ConstantTable, DOUBLE, scratchBytes, toWasm, wasmModule, webAssembly } from "./to-wasm.js";

/** How a kernel's routines are executed: WebAssembly, or generated JavaScript if WebAssembly is not available. */
export type EngineKind = "wasm" | "javascript";

/** Routines ready to run on the records of one memory. */
interface Engine<Name extends string> {
  readonly kind: EngineKind;
  readonly memory: Float64Array;
  /** Word of the memory where the records begin. */
  readonly records: number;
  /** Runs a routine on the two trials whose records start at these words; for a single trial, pass the same word twice. */
  readonly run: Readonly<Record<Name, RunPair>>;
}

const PAGE_BYTES = 65_536;

/**
 * Compiles routines to WebAssembly where the JavaScript engine supports its SIMD instructions, else to plain JavaScript with the same results, bit for bit.
 *
 * @param words number of words of memory for records.
 * @param wanted selects one of the two; by default WebAssembly if available.
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
  // The memory: scratch memory, the constants, then the records.
  const constants = new ConstantTable(Math.max(...named.map(([, routine]) => scratchBytes(routine))));
  const bytes = wasmModule(named.map(([, routine]) => toWasm(routine, constants)));
  const records = constants.end / DOUBLE;
  const pages = Math.ceil(((records + words) * DOUBLE) / PAGE_BYTES);
  const memory = new webAssembly.Memory({ initial: pages, maximum: pages });
  const view = new Float64Array(memory.buffer);
  constants.writeTo(view);
  const { exports } = new webAssembly.Instance(new webAssembly.Module(bytes), { kernel: { memory } });
  return { kind, memory: view, records, run: exports as unknown as Record<Name, RunPair> };
}

/** Whether this JavaScript engine compiles SIMD, tested with the smallest routine that uses it. */
function hasSimd(): boolean {
  if (webAssembly === undefined) return false;
  const tape = new Tape();
  tape.store(0, tape.load(0));
  return webAssembly.validate(wasmModule([toWasm(tape.finish("question"), new ConstantTable(0))]));
}

/** A compiled routine that runs on two trials' records, which start at the words `a` and `b` of the memory. It returns bit 2·k + lane for the k-th test. */
export type RunPair = (a: number, b: number) => number;

const SOURCE: Record<Exclude<Op, "constant" | "load">, (...from: string[]) => string> = {
  add: (a, b) => `(${a} + ${b})`,
  subtract: (a, b) => `(${a} - ${b})`,
  multiply: (a, b) => `(${a} * ${b})`,
  divide: (a, b) => `(${a} / ${b})`,
  negate: (a) => `(-${a})`,
  absolute: (a) => `Math.abs(${a})`,
  larger: (a, b) => `larger(${a}, ${b})`,
  pick: (test, a, b) => `(${test} ? ${a} : ${b})`,
  less: (a, b) => `(${a} < ${b})`,
  atMost: (a, b) => `(${a} <= ${b})`,
  both: (a, b) => `(${a} && ${b})`,
  either: (a, b) => `(${a} || ${b})`,
  differ: (a, b) => `(${a} !== ${b})`,
};

/** The source of a function (memory, at) that runs a routine on the record at that word of the memory, and returns one bit for each test. */
function routineSource(routine: Routine): string {
  const named = new Set(namedEntries(routine));
  const expression = (entry: Entry): string => {
    if (entry.op === "constant") return entry.detail < 0 ? `(${entry.detail})` : String(entry.detail);
    if (entry.op === "load") return `memory[at + ${entry.detail}]`;
    return SOURCE[entry.op](...entry.from.map(use));
  };
  const use = (entry: Entry): string => (named.has(entry) ? `v${entry.id}` : expression(entry));
  const lines = [...named].map((entry) => `const v${entry.id} = ${expression(entry)};`);
  const stores = routine.stores.map(({ place, value }) => `memory[at + ${place}] = ${use(value)};`);
  const answers = routine.answers.map((test, k) => `(${use(test)} ? ${2 ** (2 * k)} : 0)`);
  return [
    '"use strict";',
    ...lines,
    "// Everything is read by now.",
    ...stores,
    `return ${answers.join(" | ") || 0};`,
  ].join("\n");
}

/** Same semantics as the instruction: `a` if either is NaN. */
function larger(a: number, b: number): number {
  if (a < b) return b;
  return a;
}

/** Plain JavaScript for a routine: the same operations in the same order as its WebAssembly, one trial after the other. */
function toJavaScript(routine: Routine, memory: Float64Array): RunPair {
  const make = new Function(
    "larger",
    `return function ${routine.name}(memory, at) {\n${routineSource(routine)}\n}`,
  );
  const run = make(larger) as (memory: Float64Array, at: number) => number;
  return (a, b) => {
    const answers = run(memory, a);
    // The same record twice means a single trial, which is run once.
    return answers | ((a === b ? answers : run(memory, b)) << 1);
  };
}
