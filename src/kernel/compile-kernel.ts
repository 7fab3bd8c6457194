import type { CellModel } from "../predict/cell-model.js";
import type { Order } from "../lattice/cell.js";
import { type ExactRoutineName, exactRoutines } from "./cell/exact-routines.js";
import { firstOrderRoutines } from "./cell/first-order-routines.js";
import { readOutRoutine } from "./cell/read-out.js";
import { RecordPlan } from "./cell/record.js";
import type { TrialInputs } from "./cell/trial-inputs.js";
import { Batch } from "./run/batch.js";
import { ExactOrder } from "./run/exact-order.js";
import { FirstOrder } from "./run/first-order.js";
import { createEngine, type EngineKind } from "./tape/engine.js";
import type { RunPair } from "./tape/to-javascript.js";
import type { Routine } from "./tape/value.js";

/** Trials that are worked on together: as many records as a core's own cache has room for. No result depends on it. */
export const BATCH_TRIALS = 256;

/** What a kernel is compiled for. */
export interface KernelTask {
  readonly model: CellModel;
  readonly order: Order;
  readonly pressRatio: number;
  readonly inputs: TrialInputs;
  /** By default WebAssembly where there is any. */
  readonly engine?: EngineKind;
}

/** A kernel's memory and the routines that run on it. */
export interface CompiledKernel {
  readonly engine: EngineKind;
  readonly batch: Batch;
  readonly free: RunPair;
  readonly readOut: RunPair;
  readonly firstOrder: FirstOrder;
  /** `null` when the kernel seats in first order only. */
  readonly exactOrder: ExactOrder | null;
  /** Where in a trial's record its draws, gaps, worst gap and worst press lie, and in exact order its poses (−1 in first order). */
  readonly places: {
    readonly draws: number;
    readonly gap: number;
    readonly worstGap: number;
    readonly worstPress: number;
    readonly pose: number;
  };
}

type AllRoutines = Record<"free" | "weak" | "step" | "readOut" | ExactRoutineName, Routine>;

/** Records every routine for the cell, compiles them together, and lays out the memory that they share. */
export function compileKernel({
  model,
  order,
  pressRatio,
  inputs,
  engine: kind,
}: KernelTask): CompiledKernel {
  const { seating } = model;
  const plan = new RecordPlan();
  const first = firstOrderRoutines(model, inputs, pressRatio, plan, order === "exact");
  const readOut = readOutRoutine(first.places.gap, model.readProbes, plan);
  const exact = order === "exact" ? exactRoutines(model, inputs, pressRatio, first, plan) : null;
  const { free, weak, step } = first;
  // In first order those of exact order are left out, and never run.
  const routines = { free, weak, step, readOut: readOut.routine, ...exact?.routines } as AllRoutines;
  // One record more than there are trials, with room for a matrix behind it.
  const words = (BATCH_TRIALS + 1) * plan.words + (3 * seating.bodies) ** 2;
  const compiled = createEngine(routines, words, kind);
  const { memory, records, run } = compiled;
  const batch = new Batch(memory, records, plan.words, BATCH_TRIALS);
  return {
    engine: compiled.kind,
    batch,
    free: run.free,
    readOut: run.readOut,
    firstOrder: new FirstOrder(batch, first.places, run, seating.weight, pressRatio),
    exactOrder: exact && new ExactOrder(batch, exact.places, run, model),
    places: {
      draws: first.places.draws,
      gap: first.places.gap,
      ...readOut.places,
      pose: exact?.places.pose ?? -1,
    },
  };
}
