import { createSeater } from "../kernel/fitted/create-seater.js";
import type { Fitting } from "../kernel/fitted/fitted-kernel.js";
import { createStream } from "../numeric/random-stream.js";
import { cellModel } from "../predict/cell-model.js";
import { chanceFrom, type Estimated } from "./estimated.js";
import type { OutlookSources } from "./outlook-sources.js";
import type { OutlookLimits } from "./tally-blocks.js";

/** The same cells seated in first and in exact order: what taking gaps as linear does to the answer. */
export interface OrderDifference {
  readonly trials: number;
  /** Chance that a cell does not close, by either order. */
  readonly fails: { readonly first: Estimated; readonly exact: Estimated };
  /** Cells that close by one order and not by the other. */
  readonly changed: Estimated;
  /** Worst gap in exact order less that in first, mm: mean, its standard error, root mean square, and the largest either way. */
  readonly worstGap: {
    readonly mean: number;
    readonly standardError: number;
    readonly rootMeanSquare: number;
    readonly largest: number;
  };
}

export interface OrderDifferenceOptions {
  readonly limits: OutlookLimits;
  readonly pressRatio: number;
  /** How pieces are fitted by trial, in either order; without it, cells are as cut. */
  readonly fitting?: Fitting;
  /** ≥ 2. */
  readonly trials: number;
  readonly seed: number;
}

/** @throws SeatingError when a trial finds no rest. */
export function orderDifference(
  { cell, inputs }: OutlookSources,
  { limits, trials, seed, ...seater }: OrderDifferenceOptions,
): OrderDifference {
  const model = cellModel(cell);
  const first = createSeater(model, { inputs, ...seater, order: "first" });
  const exact = createSeater(model, { inputs, ...seater, order: "exact" });
  const stream = createStream(seed);
  let [firstFails, exactFails, changed, sum, squares, largest] = [0, 0, 0, 0, 0, 0];
  for (let start = 0; start < trials; start += first.batchTrials) {
    const batch = Math.min(first.batchTrials, trials - start);
    for (let k = 0; k < batch; k++) exact.drawsOf(k).set(stream.fill(first.drawsOf(k)));
    first.seat(batch);
    exact.seat(batch);
    for (let k = 0; k < batch; k++) {
      const [a, b] = [first, exact].map(
        (kernel) => kernel.worstGap(k) > limits.gap || kernel.worstPress(k) > limits.snug,
      );
      if (a) firstFails++;
      if (b) exactFails++;
      if (a !== b) changed++;
      const difference = exact.worstGap(k) - first.worstGap(k);
      sum += difference;
      squares += difference ** 2;
      largest = Math.max(largest, Math.abs(difference));
    }
  }
  const mean = sum / trials;
  const variance = Math.max(0, squares - trials * mean ** 2) / (trials - 1);
  return {
    trials,
    fails: { first: chanceFrom(firstFails, trials), exact: chanceFrom(exactFails, trials) },
    changed: chanceFrom(changed, trials),
    worstGap: {
      ...{ mean, standardError: Math.sqrt(variance / trials) },
      ...{ rootMeanSquare: Math.sqrt(squares / trials), largest },
    },
  };
}
