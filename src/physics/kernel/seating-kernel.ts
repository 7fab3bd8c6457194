import { UserError } from "../../core/errors.js";
import type { Order } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import type { CellModel } from "../predict/cell-model.js";
import { solveEquilibrium } from "../predict/equilibrium.js";
import { PRESS_RATIO } from "../seating/seating-model.js";
import { Batch } from "./batch.js";
import { createEngine, type EngineKind, type RunPair } from "./engine.js";
import { type ExactRoutineName, exactRoutines } from "./exact-routines.js";
import { firstOrderRoutines } from "./first-order-routines.js";
import { ExactOrderRun } from "./run-exact-order.js";
import { FirstOrderRun } from "./run-first-order.js";
import type { Routine } from "./tape.js";
import { errorsOf, errorsThemselves, RecordPlan, readOutRoutine, type TrialInputs } from "./trial-record.js";

/** How the cells of a kernel are seated. */
export interface KernelOptions {
  /** Order of seating; default `first`. */
  readonly order?: Order;
  /** Ratio of the stiffness of a pressed face to that of an open one, > 0; default {@link PRESS_RATIO}. */
  readonly pressRatio?: number;
  /** The map from draws to errors; by default a trial's draws are its error vector (rad, mm). */
  readonly inputs?: TrialInputs;
  /** Default: WebAssembly if available; plain JavaScript gives bit-identical results. */
  readonly engine?: EngineKind;
}

/**
 * A kernel that seats many trials of one cell: its matrices are computed, ordered for sparsity and compiled to straight-line code once.
 * It does not check for errors so large that faces no longer meet; `predictCell` does.
 *
 * @throws UserError (code "seating") for a press ratio that is not greater than zero, or inputs that do not fit the cell.
 */
export function createKernel(model: CellModel, options: KernelOptions = {}): SeatingKernel {
  const { order = "first", pressRatio = PRESS_RATIO, engine } = options;
  if (!(pressRatio > 0 && Number.isFinite(pressRatio))) {
    throw new UserError(
      "seating",
      `The press ratio must be a number greater than zero; it is ${pressRatio}.`,
    );
  }
  const errors = errorLayout(model.cell).entries.length;
  const inputs = options.inputs ?? errorsThemselves(errors);
  if (inputs.mean.length !== errors || inputs.matrix.length !== errors * inputs.draws) {
    throw new UserError(
      "seating",
      `The inputs of ${model.cell.name} need a mean of ${errors} errors and a matrix of ${errors} × ${inputs.draws} numbers; they hold ${inputs.mean.length} and ${inputs.matrix.length}.`,
    );
  }
  const task = { model, order, pressRatio, inputs };
  return new SeatingKernel(engine ? { ...task, engine } : task);
}

const never = (): boolean => false;

/** Seats many trials of one cell, one batch at a time; created once by `createKernel` and used for millions of trials. */
export class SeatingKernel {
  readonly model: CellModel;
  readonly order: Order;
  /** How many times as stiff a joint is pressed as open: a ratio, > 0. */
  readonly pressRatio: number;
  readonly inputs: TrialInputs;
  readonly engine: EngineKind;
  /** Maximum number of trials in a batch, {@link BATCH_TRIALS}. */
  readonly batchTrials = BATCH_TRIALS;
  readonly #compiled: CompiledKernel;
  readonly #memory: Float64Array;
  readonly #draws: Float64Array[];
  readonly #gaps: Float64Array[];
  readonly #errors: Float64Array;
  readonly #finished = new Uint8Array(BATCH_TRIALS);
  #stragglers = 0;

  /** @internal */
  constructor(task: KernelTask) {
    this.#compiled = compileKernel(task);
    const { batch, places, engine } = this.#compiled;
    this.model = task.model;
    this.order = task.order;
    this.pressRatio = task.pressRatio;
    this.inputs = task.inputs;
    this.engine = engine;
    this.#memory = batch.memory;
    this.#errors = new Float64Array(task.inputs.mean.length);
    this.#draws = Array.from({ length: BATCH_TRIALS }, (_, trial) => {
      const at = batch.at(trial) + places.draws;
      return batch.memory.subarray(at, at + task.inputs.draws);
    });
    this.#gaps = Array.from({ length: BATCH_TRIALS }, (_, trial) => {
      const at = batch.at(trial) + places.gap;
      return batch.memory.subarray(at, at + task.model.seating.weight.length);
    });
  }

  /** The draws of a trial of the batch, to be written before it is seated; standard normal, one for each of the inputs' draws. `trial`: 0 … batchTrials − 1, not checked. */
  drawsOf(trial: number): Float64Array {
    return this.#draws[trial]!;
  }

  /** First-order gaps of the first `count` trials before any piece has moved: the part of the work before seating. */
  freeGaps(count: number): void {
    const { batch, free } = this.#compiled;
    batch.activate(count);
    batch.sweep(free, never);
  }

  /**
   * Seats the first `count` trials of the batch.
   *
   * @throws UserError (code "seating") when a trial finds no equilibrium.
   */
  seat(count: number): void {
    const { batch, firstOrder, exactOrder, readOut } = this.#compiled;
    const giveUp = (trial: number): void => this.#seatReadably(trial);
    this.#finished.fill(0);
    this.freeGaps(count);
    batch.activate(count);
    firstOrder.seat(giveUp);
    if (exactOrder) {
      batch.activate(count, this.#finished);
      exactOrder.seat(giveUp);
    }
    batch.activate(count);
    batch.sweep(readOut, never);
  }

  /** Largest opening of a seated trial, mm, ≥ 0. */
  widestGap(trial: number): number {
    return this.#memory[this.#compiled.batch.at(trial) + this.#compiled.places.widestGap]!;
  }

  /** Deepest overlap of a seated trial, mm, ≥ 0. */
  deepestPress(trial: number): number {
    return this.#memory[this.#compiled.batch.at(trial) + this.#compiled.places.deepestPress]!;
  }

  /** Signed gap at a probe, in the order of `cellModel`: toe and heel of each joint, mm. */
  gap(trial: number, probe: number): number {
    return this.#memory[this.#compiled.batch.at(trial) + this.#compiled.places.gap + probe]!;
  }

  /** All gaps of a seated trial in that order, mm; a view, to be read before anything else is seated. */
  gapsOf(trial: number): Float64Array {
    return this.#gaps[trial]!;
  }

  /** Poses of a seated trial's pieces (x and y in mm, turn in rad of each body); `null` in first order, and if the solver for single cells had to finish the trial. */
  pose(trial: number): Float64Array | null {
    const { batch, places } = this.#compiled;
    if (places.pose < 0 || this.#finished[trial] === 1) return null;
    const at = batch.at(trial) + places.pose;
    return this.#memory.slice(at, at + 3 * this.model.seating.bodies);
  }

  /** Number of trials that the solver for single cells had to finish, since the kernel was made. */
  get stragglers(): number {
    return this.#stragglers;
  }

  #seatReadably(trial: number): void {
    const { batch, places } = this.#compiled;
    errorsOf(this.inputs, this.#draws[trial]!, this.#errors);
    const { rest } = solveEquilibrium(this.model, this.#errors, {
      order: this.order,
      pressRatio: this.pressRatio,
    });
    this.#memory.set(rest.gap, batch.at(trial) + places.gap);
    this.#finished[trial] = 1;
    this.#stragglers++;
  }
}

/** Number of trials seated together: as many records as fit into a core's own cache. Results do not depend on it. */
export const BATCH_TRIALS = 256;

/** What a kernel is compiled for. */
export interface KernelTask {
  readonly model: CellModel;
  readonly order: Order;
  readonly pressRatio: number;
  readonly inputs: TrialInputs;
  /** By default WebAssembly if available. */
  readonly engine?: EngineKind;
}

/** A kernel's memory and the routines that run on it. */
export interface CompiledKernel {
  readonly engine: EngineKind;
  readonly batch: Batch;
  readonly free: RunPair;
  readonly readOut: RunPair;
  readonly firstOrder: FirstOrderRun;
  /** `null` when the kernel seats in first order only. */
  readonly exactOrder: ExactOrderRun | null;
  /** Positions in a trial's record of its draws, gaps, widest gap and deepest press, and in exact order of its poses (−1 in first order). */
  readonly places: {
    readonly draws: number;
    readonly gap: number;
    readonly widestGap: number;
    readonly deepestPress: number;
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
  // In first order the routines of exact order are left out, because they are never run.
  const routines = { free, weak, step, readOut: readOut.routine, ...exact?.routines } as AllRoutines;
  // One more record than there are trials, followed by a matrix.
  const words = (BATCH_TRIALS + 1) * plan.words + (3 * seating.bodies) ** 2;
  const compiled = createEngine(routines, words, kind);
  const { memory, records, run } = compiled;
  const batch = new Batch(memory, records, plan.words, BATCH_TRIALS);
  return {
    engine: compiled.kind,
    batch,
    free: run.free,
    readOut: run.readOut,
    firstOrder: new FirstOrderRun(batch, first.places, run, seating.weight, pressRatio),
    exactOrder: exact && new ExactOrderRun(batch, exact.places, run, model),
    places: {
      draws: first.places.draws,
      gap: first.places.gap,
      ...readOut.places,
      pose: exact?.places.pose ?? -1,
    },
  };
}
