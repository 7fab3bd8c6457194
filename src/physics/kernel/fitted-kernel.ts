import { UserError } from "../../core/errors.js";
import type { Order } from "../../model/cell/cell.js";
import { requireSnug } from "../fitting/fit-lengths.js";
import { type FittingStep, fittingPlan } from "../fitting/fitting-plan.js";
import {
  firstOffset,
  furthestTrim,
  type NominalTrim,
  nominalTrim,
  TrimSearch,
} from "../fitting/trim-search.js";
import type { CellModel } from "../predict/cell-model.js";
import { BATCH_TRIALS, createKernel, type KernelOptions, type SeatingKernel } from "./seating-kernel.js";
import { errorsThemselves, sparseErrors, type TrialInputs } from "./trial-record.js";

/** Arrays that a block's results are written to; each must be long enough. */
export interface SeatedBlock {
  /** Largest opening and deepest overlap of each trial, mm, both ≥ 0. */
  readonly widestGap: Float64Array;
  readonly deepestPress: Float64Array;
  /** Signed gaps, row-major (trial, probe of a joint), mm. */
  readonly gaps?: Float64Array;
}

/**
 * Seats any number of trials, one batch at a time.
 *
 * @param draws the draws that the kernel's inputs are computed from, row-major (trial, draw); by default the error vectors themselves (rad, mm).
 * @throws UserError (code "seating") when a draw is not a number, or a trial finds no equilibrium.
 * @example
 * const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
 * const seater = createSeater(cellModel(cell), { order: "first" });
 * const out = { widestGap: new Float64Array(2), deepestPress: new Float64Array(2) };
 * seatBlock(seater, new Float64Array([...noErrors(cell), ...noErrors(cell)]), 2, out);
 * out.widestGap[1] < 1e-9 // true
 */
export function seatBlock(kernel: CellSeater, draws: Float64Array, count: number, out: SeatedBlock): void {
  const width = kernel.inputs.draws;
  const probes = kernel.model.readProbes;
  for (let start = 0; start < count; start += kernel.batchTrials) {
    const batch = Math.min(kernel.batchTrials, count - start);
    for (let trial = 0; trial < batch; trial++) {
      const own = kernel.drawsOf(trial);
      for (let k = 0; k < width; k++) own[k] = numberAt(draws, start + trial, k, width);
    }
    kernel.seat(batch);
    for (let trial = 0; trial < batch; trial++) {
      out.widestGap[start + trial] = kernel.widestGap(trial);
      out.deepestPress[start + trial] = kernel.deepestPress(trial);
      if (out.gaps)
        for (let i = 0; i < probes; i++) out.gaps[(start + trial) * probes + i] = kernel.gap(trial, i);
    }
  }
}

function numberAt(draws: Float64Array, trial: number, k: number, width: number): number {
  const value = draws[trial * width + k];
  if (value !== undefined && Number.isFinite(value)) return value;
  throw new UserError(
    "seating",
    `A trial needs ${width} finite draws; number ${k} of trial ${trial} is ${value}.`,
  );
}

/** A seater of many trials: of cells as cut, or with their pieces fitted by trial. */
export type CellSeater = Pick<
  SeatingKernel,
  | "model"
  | "order"
  | "inputs"
  | "batchTrials"
  | "drawsOf"
  | "seat"
  | "widestGap"
  | "deepestPress"
  | "gap"
  | "gapsOf"
  | "stragglers"
>;

/** Options of a seater: those of a kernel, and how pieces are fitted. */
export interface SeaterOptions extends KernelOptions {
  /** How pieces are fitted by trial; without it, cells are as cut. */
  readonly fitting?: Fitting;
}

/**
 * Compiles code that seats many cells of one shape: as cut, or fitted by trial if `fitting` is given.
 *
 * @throws UserError (code "seating") for a press ratio that is not greater than zero, or inputs that do not fit the cell.
 * @throws UserError (code "cutting-error") when pieces are to be fitted to a snug limit that is not greater than zero.
 * @example
 * const seater = createSeater(cellModel(compileCell(asanohaSquare({ opening: 60, strip: 3 }))), { order: "first" });
 * seater.batchTrials // 256
 */
export function createSeater(model: CellModel, { fitting, ...kernel }: SeaterOptions): CellSeater {
  return fitting ? new FittedKernel(model, fitting, kernel) : createKernel(model, kernel);
}

/** How pieces are fitted by trial, as in `FitOptions`. */
export interface Fitting {
  /** Press at which a piece just goes in, mm, > 0. */
  readonly snug: number;
  /** Whether pieces start long enough for all to be fitted; default true. */
  readonly startsLong?: boolean;
}

/**
 * Fits the pieces of many trials, as `fitLengths` fits those of one, and seats the fitted cells. All trials of a batch are searched in parallel, each in its own bracket: every round
 * seats those that are still searching. Made once, and used like a `SeatingKernel`.
 */
export class FittedKernel {
  readonly model: CellModel;
  readonly order: Order;
  /** How many times as stiff a joint is pressed as open: a ratio, > 0. */
  readonly pressRatio: number;
  readonly inputs: TrialInputs;
  readonly batchTrials = BATCH_TRIALS;
  /** How the pieces are fitted, group by group. */
  readonly steps: readonly FittingStep[];
  readonly #fitting: Required<Fitting>;
  /** Seats the finished cell. */
  readonly #kernel: SeatingKernel;
  /** Seats each group's cell while it is fitted. */
  readonly #kernels: readonly SeatingKernel[];
  readonly #nominal: readonly NominalTrim[];
  readonly #errorsFrom: (drawn: Float64Array, errors: Float64Array) => void;
  readonly #draws: Float64Array[];
  readonly #errors: Float64Array[];
  readonly #searches: TrimSearch[];
  readonly #searching: Int32Array;
  /** Row-major (trial, group), mm. */
  readonly #wanted: Float64Array;
  #unfitted = 0;
  #rounds = 0;

  /**
   * @throws UserError (code "cell") when the cell has no order of fitting.
   * @throws UserError (code "cutting-error") when the snug limit is not greater than zero.
   */
  constructor(model: CellModel, fitting: Fitting, options: KernelOptions = {}) {
    requireSnug(fitting.snug);
    const { inputs, ...rest } = options;
    this.#kernel = createKernel(model, rest);
    const { order, pressRatio, inputs: own } = this.#kernel;
    this.model = model;
    this.order = order;
    this.pressRatio = pressRatio;
    this.inputs = inputs ?? errorsThemselves(own.draws);
    this.steps = fittingPlan(model);
    this.#fitting = { startsLong: true, ...fitting };
    this.#kernels = this.steps.map((step) =>
      step.model === model ? this.#kernel : createKernel(step.model, rest),
    );
    this.#nominal = this.steps.map((step) => nominalTrim(step, pressRatio));
    this.#errorsFrom = sparseErrors(this.inputs);
    const each = <T>(make: () => T): T[] => Array.from({ length: BATCH_TRIALS }, make);
    this.#draws = each(() => new Float64Array(this.inputs.draws));
    this.#errors = each(() => new Float64Array(own.draws));
    this.#searches = each(() => new TrimSearch());
    this.#searching = new Int32Array(BATCH_TRIALS);
    this.#wanted = new Float64Array(BATCH_TRIALS * this.steps.length);
  }

  /** The memory in which a trial of the batch (0 … batchTrials − 1) finds its draws: one number for each of the inputs' draws, standard normal. */
  drawsOf(trial: number): Float64Array {
    return this.#draws[trial]!;
  }

  /**
   * Fits and seats the first `count` trials of the batch.
   *
   * @throws UserError (code "seating") when a trial finds no equilibrium.
   */
  seat(count: number): void {
    for (let trial = 0; trial < count; trial++) this.#errorsFrom(this.#draws[trial]!, this.#errors[trial]!);
    for (const [group, step] of this.steps.entries()) this.#fit(group, step, count);
    for (let trial = 0; trial < count; trial++) this.#kernel.drawsOf(trial).set(this.#errors[trial]!);
    this.#kernel.seat(count);
  }

  /** Largest opening of a fitted and seated trial, mm, ≥ 0. */
  widestGap(trial: number): number {
    return this.#kernel.widestGap(trial);
  }

  /** Deepest overlap when all pieces are in, mm, ≥ 0; it exceeds the snug limit if pieces fitted later press on earlier ones. */
  deepestPress(trial: number): number {
    return this.#kernel.deepestPress(trial);
  }

  /** Signed gap at a probe, in the order of `cellModel`, mm. */
  gap(trial: number, probe: number): number {
    return this.#kernel.gap(trial, probe);
  }

  /** All gaps of a fitted and seated trial in that order, mm; a view, to be read before anything else is seated. */
  gapsOf(trial: number): Float64Array {
    return this.#kernel.gapsOf(trial);
  }

  /** Change of length at which the press of a trial's group equals the snug limit, mm: − has to be cut off, + is missing. */
  wanted(trial: number, group: number): number {
    return this.#wanted[trial * this.steps.length + group]!;
  }

  /** Number of trials that the solver for single cells had to finish, since the kernel was made. */
  get stragglers(): number {
    return [...new Set([this.#kernel, ...this.#kernels])].reduce(
      (sum, { stragglers }) => sum + stragglers,
      0,
    );
  }

  /** Number of groups that could not be fitted within a quarter of their length, since the kernel was made; they keep the length at which the search ended. */
  get unfitted(): number {
    return this.#unfitted;
  }

  /** Number of seatings that the searches took, since the kernel was made. */
  get rounds(): number {
    return this.#rounds;
  }

  /** Fits one group of all trials, and adds the offsets to their errors. */
  #fit(group: number, step: FittingStep, count: number): void {
    const { snug, startsLong } = this.#fitting;
    const searching = this.#searching;
    const furthest = furthestTrim(this.model.cell, step);
    for (let trial = 0; trial < count; trial++) {
      searching[trial] = trial;
      const start = firstOffset(step, this.#errors[trial]!);
      this.#searches[trial]!.begin(snug, start, this.#nominal[group]!, furthest);
    }
    for (let left = count; left > 0; ) left = this.#round(group, step, left);
    for (let trial = 0; trial < count; trial++) {
      const { offset, state } = this.#searches[trial]!;
      if (state !== "fitted" && state !== "jumped") this.#unfitted++;
      this.#wanted[trial * this.steps.length + group] = offset;
      if (offset > 0 && !startsLong) continue;
      for (const place of step.trimmed) this.#errors[trial]![place]! += offset;
    }
  }

  /** Seats the `left` trials that are still searching, each at its next offset; returns how many continue. */
  #round(group: number, { from, trimmedHere, probes }: FittingStep, left: number): number {
    const kernel = this.#kernels[group]!;
    const searching = this.#searching;
    for (let place = 0; place < left; place++) {
      const trial = searching[place]!;
      const errors = this.#errors[trial]!;
      const tried = kernel.drawsOf(place);
      for (let i = 0; i < from.length; i++) tried[i] = from[i]! < 0 ? 0 : errors[from[i]!]!;
      for (const at of trimmedHere) tried[at]! += this.#searches[trial]!.offset;
    }
    kernel.seat(left);
    this.#rounds += left;
    let kept = 0;
    for (let place = 0; place < left; place++) {
      const trial = searching[place]!;
      const search = this.#searches[trial]!;
      let [press, sum] = [0, 0];
      for (const probe of probes) {
        const gap = kernel.gap(place, probe);
        if (-gap > press) press = -gap;
        sum += gap;
      }
      search.tell(press, sum / probes.length);
      if (search.state === "searching") searching[kept++] = trial;
    }
    return kept;
  }
}
