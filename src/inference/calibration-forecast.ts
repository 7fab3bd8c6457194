import { quantileSorted } from "simple-statistics";
import { at, rowOf } from "../core/numeric/dense.js";
import { closingLimits, type Job } from "../model/job/job.js";
import { predictAsMade } from "../physics/fitting/fit-lengths.js";
import { orNothing } from "../physics/predict/cell-model.js";
import { type DrawnCells, drawCells, errorsOfDraw, type Moves, outcomesOf } from "./decision/drawn-cells.js";
import type { CellDraws } from "./forecast/cell-drawer.js";
import { orderShifts, quantileShifts, type SeatedCells } from "./forecast/exact-correction.js";
import { SensibleCells } from "./forecast/sensible-cells.js";
import { effectiveCells, SHOP_CELLS, type ShopRange, shopRange } from "./forecast/shop-range.js";
import type { JobPosterior } from "./job-posterior.js";
import type { Specimen } from "./likelihood/specimen.js";

/** Posterior predictive distribution of a cell cut with given settings. */
export interface CalibrationForecast {
  /** Widest gap of each drawn cell, mm, sorted in ascending order; likewise the deepest press. */
  readonly widestGap: Float64Array;
  readonly deepestPress: Float64Array;
  /** Median and central 95 % interval, mm; corrected to exact order. */
  readonly gap: { readonly median: number; readonly interval: readonly [number, number] };
  readonly press: { readonly median: number; readonly interval: readonly [number, number] };
  /** Chance that a cell closes (gap and press within the job's limits; the gap alone where pieces are fitted by trial), corrected to exact order; and its standard uncertainty, which comes from the finite number of cells and of the shops they are drawn from. */
  readonly closes: number;
  readonly closesUncertainty: number;
  /** How that chance differs between the shops that the readings allow; `null` where they were not simulated. */
  readonly shops: ShopRange | null;
  /**
   * Largest and median difference of the widest gap between first and exact order, mm, over those cells of a sample that can be seated in exact order
   * (errors may be so uncertain that faces do not meet); 0 if there are none.
   */
  readonly orderDifference: { readonly largest: number; readonly median: number; readonly cells: number };
}

/** Number of cells that are also seated in exact order; smaller for `fitted`, because fitting pieces by trial takes many seatings. */
const EXACT_SAMPLE = { "as-cut": 2000, fitted: 100 } as const;

/** Shops of a posterior with some cells of each: draw d is a cell of shop d mod {@link SHOP_CELLS}.shops, re-set once for all its cells. */
export function cellsOfShops(
  job: Job,
  specimen: Specimen,
  posterior: JobPosterior,
  seed: number,
): DrawnCells {
  const { estimates, covariance, sample } = posterior;
  const p = estimates.length;
  const step = Math.max(1, posterior.draws / SHOP_CELLS.shops);
  const rows = Array.from({ length: SHOP_CELLS.shops }, (_, k) =>
    rowOf(sample, Math.floor(k * step) % posterior.draws, p),
  );
  const some = Float64Array.from(rows.flatMap((row) => [...row]));
  const draws = SHOP_CELLS.shops * SHOP_CELLS.cells;
  const cells = drawCells(job, specimen, { estimates, covariance, sample: some, draws, seed });
  return { ...cells, reset: cells.reset.map((_, k) => at(cells.reset, k % (SHOP_CELLS.shops * p))) };
}

/**
 * Forecast of the next cells after the given moves.
 *
 * @param shops the posterior that the draws come from, and cells of some of its shops; without them, all draws are treated as independent and nothing is corrected to exact order.
 * @param sensible the check that cells are sensible, if the caller already has it; used for cells as cut only.
 */
export function forecastOf(
  forecast: DrawnCells,
  moves: Moves,
  shops?: { readonly posterior: JobPosterior; readonly cells: DrawnCells },
  sensible?: SensibleCells,
): CalibrationForecast {
  const { widestGap, deepestPress } = outcomesOf(forecast, moves);
  const limits = closingLimits(forecast.job);
  const all = widestGap.length;
  const closing = widestGap.filter(
    (gap, i) => gap <= limits.gap && at(deepestPress, i) <= limits.snug,
  ).length;
  const range = shops ? rangeOf(shops.cells, moves) : null;
  // Two successes and two failures are added, so that the standard error is not 0 at shares of 0 and 1 (A. Agresti and B. A. Coull, 1998).
  const shrunk = (closing + 2) / (all + 4);
  const worth = shops ? effectiveCells(all, shopsOf(shops.posterior), range, shrunk) : all;
  const seated = seatedInBoth(forecast, moves, { gap: widestGap, press: deepestPress }, sensible);
  const shifts = shops && seated.cells > 1 ? orderShifts(seated.first, seated.exact, limits) : null;
  const off = shifts?.fails ?? { value: 0, standardError: 0 };
  const [gap, press] = (["gap", "press"] as const).map((what) =>
    summary(what === "gap" ? widestGap : deepestPress, shifts && seated, what),
  ) as [CalibrationForecast["gap"], CalibrationForecast["press"]];
  return {
    gap,
    press,
    shops: range,
    closes: Math.min(1, Math.max(0, closing / all - off.value)),
    closesUncertainty: Math.hypot(Math.sqrt((shrunk * (1 - shrunk)) / (worth + 4)), off.standardError),
    orderDifference: orderDifference(seated),
    widestGap: widestGap.slice().sort(),
    deepestPress: deepestPress.slice().sort(),
  };
}

/** The draws of a posterior as the shops that cells are drawn from. */
const shopsOf = ({ draws, effectiveSampleSize }: JobPosterior): { draws: CellDraws } => ({
  draws: {
    shared: 0,
    scatterOf: new Int8Array(0),
    correlation: null,
    shops: {
      count: draws,
      effectiveSize: effectiveSampleSize,
      draws: new Float64Array(0),
      factors: new Float64Array(0),
    },
  },
});

function rangeOf(cells: DrawnCells, moves: Moves): ShopRange {
  const { widestGap, deepestPress } = outcomesOf(cells, moves);
  const { gap, snug } = closingLimits(cells.job);
  const closed = new Uint32Array(SHOP_CELLS.shops);
  for (const [d, open] of widestGap.entries())
    if (open <= gap && at(deepestPress, d) <= snug) closed[d % SHOP_CELLS.shops]!++;
  return shopRange(closed, SHOP_CELLS.cells);
}

const MIDDLE = [0.025, 0.5, 0.975] as const;

/** @param seated cells seated in both orders, used to correct the quantiles; `null` for no correction. */
function summary(
  values: Float64Array,
  seated: SeatedInBoth | null,
  what: keyof SeatedCells,
): CalibrationForecast["gap"] {
  const sorted = Array.from(values.slice().sort());
  const shifts = seated ? quantileShifts(seated.first[what], seated.exact[what], MIDDLE) : [];
  const [low, median, high] = MIDDLE.map((p, q) =>
    Math.max(0, quantileSorted(sorted, p) + (shifts[q]?.value ?? 0)),
  ) as [number, number, number];
  return { median, interval: [low, high] };
}

/** The first draws that can be seated in exact order, with their results in both orders; mm. */
interface SeatedInBoth {
  readonly first: SeatedCells;
  readonly exact: SeatedCells;
  readonly cells: number;
}

function seatedInBoth(
  forecast: DrawnCells,
  moves: Moves,
  first: SeatedCells,
  sensible?: SensibleCells,
): SeatedInBoth {
  const most = Math.min(EXACT_SAMPLE[forecast.job.lengths], forecast.draws);
  const all = Array.from({ length: most }, (_, d) => errorsOfDraw(forecast, moves, d));
  const seated =
    forecast.job.lengths === "fitted"
      ? all.map((e) => fittedCell(forecast, e))
      : exactCells(forecast, all, sensible);
  const both = seated.flatMap((exact, d) => (exact ? [{ d, exact }] : []));
  return {
    cells: both.length,
    first: {
      gap: Float64Array.from(both, ({ d }) => at(first.gap, d)),
      press: Float64Array.from(both, ({ d }) => at(first.press, d)),
    },
    exact: {
      gap: Float64Array.from(both, ({ exact }) => exact.gap),
      press: Float64Array.from(both, ({ exact }) => exact.press),
    },
  };
}

function orderDifference({ first, exact, cells }: SeatedInBoth): CalibrationForecast["orderDifference"] {
  const differences = Array.from(exact.gap, (gap, k) => Math.abs(gap - at(first.gap, k))).sort(
    (a, b) => a - b,
  );
  return cells === 0
    ? { largest: 0, median: 0, cells }
    : { largest: at(differences, cells - 1), median: quantileSorted(differences, 0.5), cells };
}

/** Widest gap and deepest press of a cell, mm. */
interface ExactCell {
  readonly gap: number;
  readonly press: number;
}

/** One cell whose pieces are fitted by trial, in exact order; `null` if the pieces find no equilibrium or the faces no longer meet. */
function fittedCell({ specimen: { reader }, job }: DrawnCells, errors: Float64Array): ExactCell | null {
  return orNothing(() => {
    const { model, fittingPlan } = reader;
    const { prediction } = predictAsMade({ ...job, order: "exact" }, model, errors, false, fittingPlan);
    return { gap: prediction.widestGap, press: prediction.deepestPress };
  });
}

/** Cells as they are cut, in exact order, seated by the kernel; `null` for those that find no equilibrium or whose faces no longer meet. */
function exactCells(
  { specimen: { reader }, job }: DrawnCells,
  errors: readonly Float64Array[],
  sensible = new SensibleCells(reader.cell),
): (ExactCell | null)[] {
  const kernel = reader.kernel("exact", job.pressRatio);
  const read = (own: Float64Array, trial: number): ExactCell | null => {
    if (!sensible.areSensible(own, kernel.gapsOf(trial))) return null;
    return { gap: kernel.widestGap(trial), press: kernel.deepestPress(trial) };
  };
  const seats = (some: readonly Float64Array[]): boolean =>
    orNothing(() => {
      for (const [t, own] of some.entries()) kernel.drawsOf(t).set(own);
      kernel.seat(some.length);
      return true;
    }) ?? false;
  return Array.from({ length: Math.ceil(errors.length / kernel.batchTrials) }, (_, k) =>
    errors.slice(k * kernel.batchTrials, (k + 1) * kernel.batchTrials),
  ).flatMap((batch) =>
    // If one cell of a batch finds no equilibrium, each cell is seated separately.
    seats(batch) ? batch.map(read) : batch.map((own) => (seats([own]) ? read(own, 0) : null)),
  );
}
