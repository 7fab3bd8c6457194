import { isUserError } from "../../core/errors.js";
import { at, entryOf } from "../../core/numeric/dense.js";
import { createStream } from "../../core/numeric/random-stream.js";
import type { FittingStep } from "../../physics/fitting/fitting-plan.js";
import {
  type CellSeater,
  createSeater,
  type Fitting,
  type SeaterOptions,
} from "../../physics/kernel/fitted-kernel.js";
import { climb, largestCase } from "../../uncertainty/worst-case.js";
import { CellDrawer } from "./cell-drawer.js";
import { type OrderShifts, orderShifts, type SeatedCells } from "./exact-correction.js";
import type { ForecastSources } from "./forecast-sources.js";
import { linearSlopes } from "./linear-answer.js";
import {
  chanceFrom,
  type Estimated,
  type ForecastLimits,
  GapCounts,
  type TrimCounts,
} from "./tally-blocks.js";

/** The same cells seated in first and in exact order: the error of the first order. */
export interface OrderDifference {
  /** Number of cells solved in both orders. */
  readonly trials: number;
  /** Chance that a cell does not close, by either order. */
  readonly fails: { readonly first: Estimated; readonly exact: Estimated };
  /** Share of cells that close in one order and not in the other. */
  readonly changed: Estimated;
  /** Widest gap in exact order less that in first order, mm: mean, its standard error, root mean square, and the largest difference of either sign. */
  readonly widestGap: {
    readonly mean: number;
    readonly standardError: number;
    readonly rootMeanSquare: number;
    readonly largest: number;
  };
  /** By how much exact order changes the figures of a cell. */
  readonly shifts: OrderShifts;
}

interface OrderDifferenceOptions {
  readonly limits: ForecastLimits;
  readonly pressRatio: number;
  /** How pieces are fitted by trial, in either order; without it, cells are as cut. */
  readonly fitting?: Fitting;
  /** ≥ 2. */
  readonly trials: number;
  readonly seed: number;
}

/** @throws UserError (code "seating") when a trial finds no equilibrium. */
export function orderDifference(
  sources: ForecastSources,
  { limits, trials, seed, ...seater }: OrderDifferenceOptions,
): OrderDifference {
  const { inputs } = sources;
  const { model } = sources.reader;
  const first = createSeater(model, { inputs, ...seater, order: "first" });
  const exact = createSeater(model, { inputs, ...seater, order: "exact" });
  const stream = createStream(seed);
  const drawer = new CellDrawer(sources.draws);
  const cells = (): SeatedCells => ({ gap: new Float64Array(trials), press: new Float64Array(trials) });
  const seated = [cells(), cells()] as const;
  let [firstFails, exactFails, changed, sum, squares, largest] = [0, 0, 0, 0, 0, 0];
  for (let start = 0; start < trials; start += first.batchTrials) {
    const batch = Math.min(first.batchTrials, trials - start);
    for (let k = 0; k < batch; k++) {
      drawer.draw(stream, start + k, first.drawsOf(k));
      exact.drawsOf(k).set(first.drawsOf(k));
    }
    first.seat(batch);
    exact.seat(batch);
    for (let k = 0; k < batch; k++) {
      const [a, b] = [first, exact].map((kernel, order) => {
        const { gap, press } = at(seated, order);
        gap[start + k] = kernel.widestGap(k);
        press[start + k] = kernel.deepestPress(k);
        return kernel.widestGap(k) > limits.gap || kernel.deepestPress(k) > limits.snug;
      });
      if (a) firstFails++;
      if (b) exactFails++;
      if (a !== b) changed++;
      const difference = exact.widestGap(k) - first.widestGap(k);
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
    widestGap: {
      mean,
      standardError: Math.sqrt(variance / trials),
      rootMeanSquare: Math.sqrt(squares / trials),
      largest,
    },
    shifts: orderShifts(...seated, limits),
  };
}

/** Largest deviation of every source from its mean, in its standard deviations. */
export const DEVIATIONS_AT_ONCE = 2;

/** The search ends at steps of this share of a source's range (1/250 of its standard deviation), which change a gap by less than the printed precision. */
const SMALLEST_STEP = 1e-3;

/** The worst cell with every source of error within that range at once. */
export interface WorstAtOnce {
  /** Largest deviation of each source, in its standard deviations. */
  readonly deviations: number;
  /** Number of sources that were varied: shared ones, and every cut, piece and wall by itself. */
  readonly sources: number;
  /** Largest gap and deepest press found, mm, ≥ 0, each with the sources in its own worst combination. They come from a search, so the true maxima are at least as large. */
  readonly widestGap: number;
  readonly deepestPress: number;
}

/**
 * Worst case of the next cell (tolerances added up): every draw within ± two standard deviations, in the worst combination. The search starts, among other points, from the corners
 * to which the slopes of each gap point. `null` if the pieces of a cell with such errors find no equilibrium.
 */
export function worstAtOnce(
  sources: ForecastSources,
  options: Omit<SeaterOptions, "inputs">,
): WorstAtOnce | null {
  try {
    return searched(sources, options);
  } catch (error) {
    if (isUserError(error, "seating")) return null;
    throw error;
  }
}

/** In exact order the search starts from the worst case at first order: seating a cell takes several times as long in exact order, and the worst cases of both orders lie close together. */
function searched(sources: ForecastSources, options: Omit<SeaterOptions, "inputs">): WorstAtOnce {
  const { reader, inputs } = sources;
  const scouting = { ...options, order: "first" } as const;
  const { gap, byDraw } = linearSlopes(sources, scouting);
  const scout = createSeater(reader.model, { ...scouting, inputs });
  const exact = options.order === "exact" ? createSeater(reader.model, { ...options, inputs }) : null;
  const box = Array.from({ length: inputs.draws }, (_, k) => ({
    name: `draw ${k}`,
    low: -DEVIATIONS_AT_ONCE,
    high: DEVIATIONS_AT_ONCE,
  }));
  const opening = Array.from(gap, (_, probe) =>
    Float64Array.from(box, ({ low, high }, k) => (entryOf(byDraw, probe, k, inputs.draws) < 0 ? low : high)),
  );
  const starts = [...opening, ...opening.map((corner) => corner.map((x) => -x))];
  const largest = (read: (kernel: CellSeater) => number): number => {
    const seatedBy =
      (kernel: CellSeater) =>
      (draws: Float64Array): number => {
        kernel.drawsOf(0).set(draws);
        kernel.seat(1);
        return read(kernel);
      };
    const found = largestCase(seatedBy(scout), box, { starts, smallestStep: SMALLEST_STEP });
    return exact ? climb(seatedBy(exact), box, found.at, SMALLEST_STEP).value : found.value;
  };
  return {
    deviations: DEVIATIONS_AT_ONCE,
    sources: inputs.draws,
    widestGap: largest((kernel) => kernel.widestGap(0)),
    deepestPress: largest((kernel) => kernel.deepestPress(0)),
  };
}

/** Shares of the cells at which quantiles of the trim are reported. */
export const TRIM_QUANTILES = [0.05, 0.5, 0.95, 0.99] as const;

/** Lengths of one group as cut compared with those that fit: what someone who fits by trial needs to know about a stop. */
export interface TrimForecast {
  /** `hinge-1 and hinge-2`. */
  readonly group: string;
  /** Probability that its pieces as cut are shorter than the snug limit requires. */
  readonly tooShort: Estimated;
  /** Change of length at which they fit, mm: − to be cut off, + missing; quantiles at {@link TRIM_QUANTILES}. */
  readonly wanted: readonly { readonly p: number; readonly value: number }[];
}

export function trimForecast(steps: readonly FittingStep[], trims: readonly TrimCounts[]): TrimForecast[] {
  return trims.map((counts, g): TrimForecast => {
    const [off, missing] = [new GapCounts(counts.off), new GapCounts(counts.missing)];
    const { total } = missing;
    const longEnough = missing.shareUpTo(0);
    return {
      group: at(steps, g).group.name,
      tooShort: chanceFrom(Math.round((1 - longEnough) * total), total),
      wanted: TRIM_QUANTILES.map((p) => ({
        p,
        value: p > longEnough ? missing.quantile(p) : 0 - off.quantile(1 - p),
      })),
    };
  });
}
