import { at } from "../../core/numeric/dense.js";
import { downwardCurvature } from "../../core/numeric/linear-algebra.js";
import type { CellModel } from "../predict/cell-model.js";
import { type AlongStep, downhillShare, stepShare } from "../seating/rest-exact.js";
import { gapChange } from "../seating/rest-linear.js";
import type { Batch } from "./batch.js";
import type { RunPair } from "./engine.js";
import type { ExactPlaces } from "./exact-contacts.js";
import { Evaluated, type ExactRoutineName, Stepped } from "./exact-routines.js";

/** Maximum number of steps; a trial that needs more is passed to the solver for single cells, `solveEquilibrium`. */
const MOST_STEPS = 60;

const holds = (answers: number, test: number): boolean => ((answers >> (2 * test)) & 1) !== 0;

/**
 * Moves trials from their first-order equilibrium to the exact one with the steps of `restExact`: Newton steps, shortened if the energy would rise, leaving saddles to the same side.
 * All trials of the batch advance together: each routine runs on all remaining trials before the next routine.
 */
export class ExactOrderRun {
  readonly #batch: Batch;
  readonly #memory: Float64Array;
  readonly #places: ExactPlaces;
  readonly #run: Readonly<Record<ExactRoutineName, RunPair>>;
  readonly #model: CellModel;
  /** Trials that were moved by a line search and are evaluated again in the next round. */
  readonly #waiting: Int32Array;

  constructor(
    batch: Batch,
    places: ExactPlaces,
    run: Readonly<Record<ExactRoutineName, RunPair>>,
    model: CellModel,
  ) {
    this.#batch = batch;
    this.#memory = batch.memory;
    this.#places = places;
    this.#run = run;
    this.#model = model;
    this.#waiting = new Int32Array(batch.size);
  }

  /**
   * Seats the batch's active trials.
   *
   * @param giveUp called for each trial that turns too far for the series of sine and cosine, or does not converge.
   */
  seat(giveUp: (trial: number) => void): void {
    const batch = this.#batch;
    batch.sweep(this.#run.begin, (trial, answers) => keptUnless(!holds(answers, 0), trial, giveUp));
    for (let step = 0; step < MOST_STEPS && batch.count > 0; step++) {
      let waiting = 0;
      batch.sweep(this.#run.evaluate, (trial, answers) => {
        if (!holds(answers, Evaluated.InRange)) return keptUnless(true, trial, giveUp);
        if (holds(answers, Evaluated.Taken)) return true;
        this.#moveBy(trial, stepShare, true);
        this.#waiting[waiting++] = trial;
        return false;
      });
      batch.sweep(this.#run.newton, (trial, answers) => {
        if (!holds(answers, Stepped.Held)) return keptUnless(!this.#leavesSaddle(trial), trial, giveUp);
        return !holds(answers, Stepped.Still);
      });
      for (let index = 0; index < waiting; index++) batch.add(at(this.#waiting, index));
    }
    for (let index = 0; index < batch.count; index++) giveUp(batch.active(index));
  }

  /** Step from a point with an indefinite Hessian: first along the Gauss–Newton direction, then along a direction of negative curvature. */
  #leavesSaddle(trial: number): boolean {
    if (!holds(this.#batch.one(this.#run.gauss, trial), Stepped.Held)) return false;
    this.#moveBy(trial, stepShare, false);
    if (!this.#evaluates(trial)) return false;
    const { seating, nominal } = this.#model;
    const size = 3 * seating.bodies;
    const down = downwardCurvature(this.#hessian(trial, size), size);
    if (down === null) return true;
    const longest = gapChange(seating, nominal.moves, down).reduce(
      (most, c) => Math.max(most, Math.abs(c)),
      0,
    );
    const step = this.#batch.at(trial) + this.#places.step;
    for (let c = 0; c < size; c++) this.#memory[step + c] = at(down, c) / longest;
    this.#moveBy(trial, downhillShare, false);
    return true;
  }

  /**
   * Moves a trial by the share of its step that a line search finds.
   *
   * @param known whether the energy at both ends of the step has been evaluated.
   */
  #moveBy(trial: number, search: (along: AlongStep) => void, known: boolean): void {
    const memory = this.#memory;
    const { pose, step, share: place, energy, slope, energyThere, slopeThere } = this.#places;
    const at = this.#batch.at(trial);
    const start = { share: 0, energy: memory[at + energy]!, slope: memory[at + slope]! };
    const end = { share: 1, energy: memory[at + energyThere]!, slope: memory[at + slopeThere]! };
    let moved = 0;
    search((share) => {
      moved = share;
      if (known && share === 0) return start;
      if (known && share === 1) return end;
      memory[at + place] = share;
      this.#batch.one(this.#run.evaluateShare, trial);
      return { share, energy: memory[at + energyThere]!, slope: memory[at + slopeThere]! };
    });
    for (let c = 0; c < 3 * this.#model.seating.bodies; c++) {
      memory[at + pose + c]! += moved * memory[at + step + c]!;
      memory[at + step + c] = 0;
    }
    // The trial continues from the point where the search ended.
    memory[at + energy] = Number.POSITIVE_INFINITY;
    memory[at + slope] = 0;
  }

  /** A copy of the energy's Hessian, row-major. */
  #hessian(trial: number, size: number): Float64Array {
    const { spare } = this.#batch;
    this.#batch.copyToSpare(trial);
    this.#run.hessian(spare, spare);
    const behind = this.#batch.at(this.#batch.size + 1);
    return this.#memory.slice(behind, behind + size * size);
  }

  #evaluates(trial: number): boolean {
    return holds(this.#batch.one(this.#run.evaluate, trial), Evaluated.InRange);
  }
}

function keptUnless(lost: boolean, trial: number, giveUp: (trial: number) => void): boolean {
  if (lost) giveUp(trial);
  return !lost;
}
