import { SIGN_BAND } from "../seating/energy.js";
import type { Batch } from "./batch.js";
import type { RunPair } from "./engine.js";
import type { FirstOrderPlaces } from "./first-order-routines.js";

/** Number of undamped steps before a line search is used: after that, most of the remaining trials cycle. */
const UNDAMPED_STEPS = 8;
/** Maximum number of steps with a line search; a trial that needs more is passed to the solver for single cells. */
const SEARCHED_STEPS = 40;

const changed = (_: number, answers: number): boolean => (answers & 1) !== 0;

/**
 * Semi-smooth Newton at first order: the equilibrium with every spring weak, then repeatedly with the springs that correspond to the signs, until no sign changes.
 * All trials of the batch advance together.
 */
export class FirstOrderRun {
  readonly #batch: Batch;
  readonly #memory: Float64Array;
  readonly #places: FirstOrderPlaces;
  readonly #run: { readonly weak: RunPair; readonly step: RunPair };
  readonly #weight: Float64Array;
  readonly #pressRatio: number;

  constructor(
    batch: Batch,
    places: FirstOrderPlaces,
    run: { readonly weak: RunPair; readonly step: RunPair },
    weight: Float64Array,
    pressRatio: number,
  ) {
    this.#batch = batch;
    this.#memory = batch.memory;
    this.#places = places;
    this.#run = run;
    this.#weight = weight;
    this.#pressRatio = pressRatio;
  }

  /**
   * Seats the batch's active trials, whose free gaps are in place.
   *
   * @param giveUp called for each trial that does not converge.
   */
  seat(giveUp: (trial: number) => void): void {
    const batch = this.#batch;
    batch.sweep(this.#run.weak, changed);
    for (let step = 0; step < UNDAMPED_STEPS && batch.count > 0; step++) batch.sweep(this.#run.step, changed);
    for (let index = 0; index < batch.count; index++) this.#startSearch(batch.active(index));
    for (let step = 0; step < SEARCHED_STEPS && batch.count > 0; step++) {
      batch.sweep(this.#run.step, (trial, answers) => {
        if (!changed(trial, answers)) return false;
        this.#search(trial);
        return true;
      });
    }
    for (let index = 0; index < batch.count; index++) giveUp(batch.active(index));
  }

  #startSearch(trial: number): void {
    const at = this.#batch.at(trial);
    const { gap, here } = this.#places;
    this.#memory.copyWithin(at + here, at + gap, at + gap + this.#weight.length);
  }

  /** Moves a trial to the share of its step with the least energy: the energy falls with every step, so no trial can cycle. */
  #search(trial: number): void {
    const memory = this.#memory;
    const at = this.#batch.at(trial);
    const [here, there, bound] = [at + this.#places.here, at + this.#places.gap, at + this.#places.bound];
    const share = bestShare(memory, here, there, this.#weight, this.#pressRatio);
    for (let i = 0; i < this.#weight.length; i++) {
      const gap = memory[here + i]! + share * (memory[there + i]! - memory[here + i]!);
      memory[here + i] = gap;
      memory[bound + i] = gap < memory[bound + i]! ? SIGN_BAND : -SIGN_BAND;
    }
  }
}

/** The line search ends when the slope has fallen to this share of its initial value; that is accurate enough, because the last step of a trial is always a full one. */
const FLAT = 0.05;
const MOST_ROUNDS = 60;

/**
 * The share of the way from `here` to `there` that minimises the energy ½ Σ w·k(g)·g², with k = 1 for g ≥ 0 and `pressRatio` for g < 0.
 * Its slope increases with the share and is linear between changes of sign, so secants quickly reach its root; every other round bisects the interval instead.
 *
 * @param here index in `memory` at which the gaps before the step begin; `there` is the index of those after the full step.
 */
export function bestShare(
  memory: Float64Array,
  here: number,
  there: number,
  weight: Float64Array,
  pressRatio: number,
): number {
  let low = 0;
  let slopeLow = slopeAt(0, memory, here, there, weight, pressRatio);
  const enough = FLAT * Math.abs(slopeLow);
  let high = 1;
  let slopeHigh = slopeAt(1, memory, here, there, weight, pressRatio);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    if (Math.abs(slopeHigh) <= enough) return high;
    if (slopeHigh < 0) {
      low = high;
      slopeLow = slopeHigh;
      high *= 2;
      slopeHigh = slopeAt(high, memory, here, there, weight, pressRatio);
      continue;
    }
    const secant = low - (slopeLow * (high - low)) / (slopeHigh - slopeLow);
    const middle = round % 2 === 0 ? secant : (low + high) / 2;
    const slope = slopeAt(middle, memory, here, there, weight, pressRatio);
    if (Math.abs(slope) <= enough) return middle;
    if (slope < 0) {
      low = middle;
      slopeLow = slope;
    } else {
      high = middle;
      slopeHigh = slope;
    }
  }
  return low;
}

function slopeAt(
  share: number,
  memory: Float64Array,
  here: number,
  there: number,
  weight: Float64Array,
  pressRatio: number,
): number {
  let slope = 0;
  for (let i = 0; i < weight.length; i++) {
    const start = memory[here + i]!;
    const change = memory[there + i]! - start;
    const gap = start + share * change;
    slope += weight[i]! * (gap < 0 ? pressRatio : 1) * gap * change;
  }
  return slope;
}
