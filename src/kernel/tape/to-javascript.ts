import { namedEntries } from "./emit-plan.js";
import type { Entry, Op, Routine } from "./value.js";

/** A routine at work on two trials' records, which start at the words `a` and `b` of the memory. Its answers: bit 2·k + lane for the k-th test. */
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

/** The source of a function (memory, at) that runs a routine on the record at that word of the memory, and answers with one bit a test. */
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

/** As the instruction has it: `a` when either is not a number. */
function larger(a: number, b: number): number {
  if (a < b) return b;
  return a;
}

/** Plain JavaScript for a routine: the same operations in the same order as its WebAssembly, one trial after the other. */
export function toJavaScript(routine: Routine, memory: Float64Array): RunPair {
  const make = new Function(
    "larger",
    `return function ${routine.name}(memory, at) {\n${routineSource(routine)}\n}`,
  );
  const run = make(larger) as (memory: Float64Array, at: number) => number;
  return (a, b) => {
    const answers = run(memory, a);
    // The same record twice is one trial, and is run once.
    return answers | ((a === b ? answers : run(memory, b)) << 1);
  };
}
