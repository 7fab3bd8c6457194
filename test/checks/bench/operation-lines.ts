import { createStream } from "../../../src/core/numeric/random-stream.js";
import { Batch } from "../../../src/physics/kernel/batch.js";
import { createEngine, type RunPair } from "../../../src/physics/kernel/engine.js";
import { exactRoutines } from "../../../src/physics/kernel/exact-routines.js";
import { firstOrderRoutines } from "../../../src/physics/kernel/first-order-routines.js";
import { ExactOrderRun } from "../../../src/physics/kernel/run-exact-order.js";
import { FirstOrderRun } from "../../../src/physics/kernel/run-first-order.js";
import { BATCH_TRIALS } from "../../../src/physics/kernel/seating-kernel.js";
import type { Entry, Routine } from "../../../src/physics/kernel/tape.js";
import { RecordPlan } from "../../../src/physics/kernel/trial-record.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import { type BenchLine, inputs, lineOf, model } from "./bench-line.js";

const BATCHES = 20;
/** What the best of today's cores do at most in a cycle: two operations on two doubles each. */
const OPERATIONS_A_CYCLE = 4;
/** Cycles a nanosecond: a clock of 3 GHz, for many machines do not state theirs. */
const CYCLES = 3;

/** Arithmetic operations of a routine on one trial: each recorded operation once; constants and loads from the record cost none here. */
export function operationsOf({ stores, answers }: Pick<Routine, "stores" | "answers">): number {
  const seen = new Set<Entry>();
  let operations = 0;
  const left: Entry[] = [...stores.map(({ value }) => value), ...answers];
  for (let entry = left.pop(); entry !== undefined; entry = left.pop()) {
    if (seen.has(entry)) continue;
    seen.add(entry);
    if (entry.op !== "constant" && entry.op !== "load") operations++;
    left.push(...entry.from);
  }
  return operations;
}

/** Operations that the seating of a trial takes on average: each routine's own, as often as it runs on a trial. Without drawing, stores, loads and choice of trials. */
export function operationsOfTrial(order: "first" | "exact"): number {
  const plan = new RecordPlan();
  const first = firstOrderRoutines(model, inputs, PRESS_RATIO, plan, order === "exact");
  const exact = order === "exact" ? exactRoutines(model, inputs, PRESS_RATIO, first, plan) : null;
  const routines: Record<string, Routine> = {
    free: first.free,
    weak: first.weak,
    step: first.step,
    ...exact?.routines,
  };
  const words = (BATCH_TRIALS + 1) * plan.words + (3 * model.seating.bodies) ** 2;
  const { memory, records, run } = createEngine(routines, words);
  let spent = 0;
  const counted: Record<string, RunPair> = Object.fromEntries(
    Object.entries(routines).map(([name, routine]) => {
      const each = operationsOf(routine);
      const own = run[name];
      if (!own) throw new Error(`There is no routine ${name}.`);
      return [
        name,
        (a: number, b: number) => {
          spent += a === b ? each : 2 * each;
          return own(a, b);
        },
      ];
    }),
  );
  const batch = new Batch(memory, records, plan.words, BATCH_TRIALS);
  const named = counted as Record<"free" | "weak" | "step", RunPair>;
  const firstRun = new FirstOrderRun(batch, first.places, named, model.seating.weight, PRESS_RATIO);
  const exactRun = exact && new ExactOrderRun(batch, exact.places, counted as never, model);
  const stream = createStream(1);
  const giveUp = (): void => {};
  for (let k = 0; k < BATCHES; k++) {
    for (let trial = 0; trial < BATCH_TRIALS; trial++) {
      const at = batch.at(trial) + first.places.draws;
      stream.fill(memory.subarray(at, at + inputs.draws));
    }
    batch.activate(BATCH_TRIALS);
    batch.sweep(named.free, () => true);
    firstRun.seat(giveUp);
    if (exactRun === null) continue;
    batch.activate(BATCH_TRIALS);
    exactRun.seat(giveUp);
  }
  return spent / (BATCHES * BATCH_TRIALS);
}

/** How many operations the seating of a trial takes, and how long a core would need for them at the very least. */
export function operationLines(): BenchLine[] {
  return (["first", "exact"] as const).map((order) => {
    const operations = operationsOfTrial(order);
    const least = operations / OPERATIONS_A_CYCLE / CYCLES;
    const note = `at least ${least.toFixed(0)} ns at ${CYCLES} GHz with ${OPERATIONS_A_CYCLE} operations a cycle`;
    return {
      ...lineOf(`operations of a trial, ${order} order`, [operations], null, "at most", null, note),
      spread: null,
    };
  });
}
