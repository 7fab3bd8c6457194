import { errorLayout } from "../cutting/error-layout.js";
import type { CellModel } from "../predict/cell-model.js";
import { type Order, settle } from "../predict/settle.js";
import { PRESS_RATIO, SeatingError } from "../seating/seating-model.js";
import { exactRoutines } from "./cell/exact-routines.js";
import { firstOrderRoutines } from "./cell/first-order-routines.js";
import { readOutRoutine } from "./cell/read-out.js";
import { RecordPlan } from "./cell/record.js";
import { errorsOf, errorsThemselves, type TrialInputs } from "./cell/trial-inputs.js";
import { Batch } from "./run/batch.js";
import { ExactOrder } from "./run/exact-order.js";
import { FirstOrder } from "./run/first-order.js";
import { createEngine, type EngineKind } from "./tape/engine.js";

export interface KernelOptions {
  /** Default `first`. */
  readonly order?: Order;
  /** How many times stiffer a face is pressed than open, > 0; default {@link PRESS_RATIO}. */
  readonly pressRatio?: number;
  /** How the errors follow from what is drawn; by default a trial's draws are its error vector. */
  readonly inputs?: TrialInputs;
  /** Default WebAssembly where there is any; plain JavaScript gives the same bits. */
  readonly engine?: EngineKind;
}

/** Seats many trials of one cell; made once for it, and used for millions. */
export interface SeatingKernel {
  readonly model: CellModel;
  readonly order: Order;
  readonly pressRatio: number;
  readonly inputs: TrialInputs;
  readonly engine: EngineKind;
  /** Trials that it works on together, {@link BATCH_TRIALS}. No result depends on it. */
  readonly batchTrials: number;
  /** The memory in which a trial of the batch finds its draws (0 … batchTrials − 1). */
  drawsOf(trial: number): Float64Array;
  /** First-order gaps before any piece has moved, of the first `count` trials: the part of the work that is no seating. */
  freeGaps(count: number): void;
  /**
   * Seats the first `count` trials of the batch.
   *
   * @throws SeatingError when a trial finds no rest.
   */
  seat(count: number): void;
  /** Largest opening of a seated trial, and its deepest overlap, mm, both ≥ 0. */
  worstGap(trial: number): number;
  worstPress(trial: number): number;
  /** Signed gap at a probe (the joints' toes and heels, in `cellModel`'s order), mm. */
  gap(trial: number, probe: number): number;
  /** Trials that the readable solver had to finish, since the kernel was made. */
  readonly stragglers: number;
}

/** As many records as fit a core's own cache, with room to spare. */
export const BATCH_TRIALS = 256;

/**
 * A kernel for a cell: its matrices are worked out, ordered for their zeros and written as straight-line code once.
 * Errors so large that faces no longer meet are not looked for; `predictCell` does that.
 *
 * @throws SeatingError for a press ratio that is not greater than zero.
 */
export function createKernel(model: CellModel, options: KernelOptions = {}): SeatingKernel {
  const { order = "first", pressRatio = PRESS_RATIO } = options;
  if (!(pressRatio > 0 && Number.isFinite(pressRatio))) {
    throw new SeatingError(`The press ratio must be a number greater than zero; it is ${pressRatio}.`);
  }
  const inputs = options.inputs ?? errorsThemselves(errorLayout(model.cell).entries.length);
  const plan = new RecordPlan();
  const first = firstOrderRoutines(model, inputs, pressRatio, plan);
  const readOut = readOutRoutine(first.places.gap, model.readProbes, plan);
  const exact = exactRoutines(model, inputs, pressRatio, first, plan);
  const engine = createEngine(
    {
      free: first.free,
      weak: first.weak,
      step: first.step,
      ...exact.routines,
      readOut: readOut.routine,
    },
    (BATCH_TRIALS + 1) * plan.words + (3 * model.seating.bodies) ** 2,
    options.engine,
  );
  const { memory, run } = engine;
  const batch = new Batch(memory, engine.records, plan.words, BATCH_TRIALS);
  const firstOrder = new FirstOrder(batch, first.places, run, model.seating.weight, pressRatio);
  const exactOrder = new ExactOrder(batch, exact.places, run, model);
  const errors = new Float64Array(inputs.mean.length);
  const draws = Array.from({ length: BATCH_TRIALS }, (_, trial) => {
    const at = batch.at(trial) + first.places.draws;
    return memory.subarray(at, at + inputs.draws);
  });
  const finished = new Uint8Array(BATCH_TRIALS);
  let stragglers = 0;
  const giveUp = (trial: number): void => {
    stragglers++;
    finished[trial] = 1;
    errorsOf(inputs, draws[trial]!, errors);
    const { rest } = settle(model, errors, { order, pressRatio });
    memory.set(rest.gap, batch.at(trial) + first.places.gap);
  };
  const never = (): boolean => false;
  return {
    model,
    order,
    pressRatio,
    inputs,
    engine: engine.kind,
    batchTrials: BATCH_TRIALS,
    drawsOf: (trial) => draws[trial]!,
    freeGaps(count) {
      batch.activate(count);
      batch.sweep(run.free, never);
    },
    seat(count) {
      finished.fill(0);
      batch.activate(count);
      batch.sweep(run.free, never);
      batch.activate(count);
      firstOrder.seat(giveUp);
      if (order === "exact") {
        batch.activate(count, finished);
        exactOrder.seat(giveUp);
      }
      batch.activate(count);
      batch.sweep(run.readOut, never);
    },
    worstGap: (trial) => memory[batch.at(trial) + readOut.places.worstGap]!,
    worstPress: (trial) => memory[batch.at(trial) + readOut.places.worstPress]!,
    gap: (trial, probe) => memory[batch.at(trial) + first.places.gap + probe]!,
    get stragglers() {
      return stragglers;
    },
  };
}
