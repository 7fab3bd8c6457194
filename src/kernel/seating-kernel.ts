import type { CellModel } from "../predict/cell-model.js";
import type { Order } from "../lattice/cell.js";
import { settle } from "../predict/settle.js";
import { errorsOf, type TrialInputs } from "./cell/trial-inputs.js";
import { BATCH_TRIALS, type CompiledKernel, compileKernel, type KernelTask } from "./compile-kernel.js";
import type { EngineKind } from "./tape/engine.js";

const never = (): boolean => false;

/** Seats many trials of one cell, a batch at a time; made once by `createKernel` and used for millions. */
export class SeatingKernel {
  readonly model: CellModel;
  readonly order: Order;
  /** How many times as stiff a joint is pressed as open: a ratio, > 0. */
  readonly pressRatio: number;
  readonly inputs: TrialInputs;
  readonly engine: EngineKind;
  /** Most trials of a batch, {@link BATCH_TRIALS}. */
  readonly batchTrials = BATCH_TRIALS;
  readonly #compiled: CompiledKernel;
  readonly #memory: Float64Array;
  readonly #draws: Float64Array[];
  readonly #errors: Float64Array;
  readonly #finished = new Uint8Array(BATCH_TRIALS);
  #stragglers = 0;

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
  }

  /** The memory in which a trial of the batch (0 … batchTrials − 1) finds its draws: one number for each of the inputs' draws, standard normal. */
  drawsOf(trial: number): Float64Array {
    return this.#draws[trial]!;
  }

  /** First-order gaps of the first `count` trials before any piece has moved: the part of the work that is no seating. */
  freeGaps(count: number): void {
    const { batch, free } = this.#compiled;
    batch.activate(count);
    batch.sweep(free, never);
  }

  /**
   * Seats the first `count` trials of the batch.
   *
   * @throws SeatingError when a trial finds no rest.
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
  worstGap(trial: number): number {
    return this.#memory[this.#compiled.batch.at(trial) + this.#compiled.places.worstGap]!;
  }

  /** Deepest overlap of a seated trial, mm, ≥ 0. */
  worstPress(trial: number): number {
    return this.#memory[this.#compiled.batch.at(trial) + this.#compiled.places.worstPress]!;
  }

  /** Signed gap at a probe, in the order of `cellModel`: toe and heel of each joint, mm. */
  gap(trial: number, probe: number): number {
    return this.#memory[this.#compiled.batch.at(trial) + this.#compiled.places.gap + probe]!;
  }

  /** Poses of a seated trial's pieces (x and y in mm, turn in rad of each body); `null` in first order, and where the readable solver had to finish it. */
  pose(trial: number): Float64Array | null {
    const { batch, places } = this.#compiled;
    if (places.pose < 0 || this.#finished[trial] === 1) return null;
    const at = batch.at(trial) + places.pose;
    return this.#memory.slice(at, at + 3 * this.model.seating.bodies);
  }

  /** Number of trials that the readable solver had to finish, since the kernel was made. */
  get stragglers(): number {
    return this.#stragglers;
  }

  #seatReadably(trial: number): void {
    const { batch, places } = this.#compiled;
    errorsOf(this.inputs, this.#draws[trial]!, this.#errors);
    const { rest } = settle(this.model, this.#errors, { order: this.order, pressRatio: this.pressRatio });
    this.#memory.set(rest.gap, batch.at(trial) + places.gap);
    this.#finished[trial] = 1;
    this.#stragglers++;
  }
}
