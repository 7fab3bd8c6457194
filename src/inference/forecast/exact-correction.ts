import { sampleStandardDeviation } from "simple-statistics";
import { at } from "../../core/numeric/dense.js";
import { type Estimated, type ForecastLimits, QUANTILES, Z } from "./tally-blocks.js";

/** A figure in exact order less the same figure in first order, over cells seated in both, and its standard error: a share for a probability, mm for a gap. */
export interface OrderShift {
  /** A share or mm. */
  readonly value: number;
  /** A share or mm. */
  readonly standardError: number;
}

/** Changes in the figures of a cell due to exact order: of probabilities, and of quantiles of gap and press in mm. */
export interface OrderShifts {
  readonly beyondGap: OrderShift;
  readonly beyondPress: OrderShift;
  readonly fails: OrderShift;
  /** Shifts of the gap at the shares of a forecast's quantiles, mm. */
  readonly gap: readonly OrderShift[];
  readonly press: readonly OrderShift[];
}

/** Widest gap and deepest press of the same cells, in one order; mm. */
export interface SeatedCells {
  readonly gap: Float64Array;
  readonly press: Float64Array;
}

/** Number of parts into which the cells are divided to estimate the standard error of a shift of a quantile. */
const PARTS = 16;

export function orderShifts(first: SeatedCells, exact: SeatedCells, limits: ForecastLimits): OrderShifts {
  const fails = (cells: SeatedCells, i: number, what: "gap" | "press" | "either"): boolean => {
    const [open, tight] = [at(cells.gap, i) > limits.gap, at(cells.press, i) > limits.snug];
    return what === "gap" ? open : what === "press" ? tight : open || tight;
  };
  const n = first.gap.length;
  const chance = (what: "gap" | "press" | "either"): OrderShift => {
    let [sum, changed] = [0, 0];
    for (let i = 0; i < n; i++) {
      const change = Number(fails(exact, i, what)) - Number(fails(first, i, what));
      sum += change;
      changed += Math.abs(change);
    }
    const value = sum / n;
    // At least one change is counted: observing none among n cells does not prove that there are none.
    return { value, standardError: Math.sqrt(Math.max(0, Math.max(changed, 1) / n - value ** 2) / n) };
  };
  return {
    beyondGap: chance("gap"),
    beyondPress: chance("press"),
    fails: chance("either"),
    gap: quantileShifts(first.gap, exact.gap, QUANTILES),
    press: quantileShifts(first.press, exact.press, QUANTILES),
  };
}

/** By how much the quantiles at some shares differ between the same cells in first and in exact order. */
export function quantileShifts(
  first: Float64Array,
  exact: Float64Array,
  wanted: readonly number[],
): OrderShift[] {
  const n = first.length;
  const shifts = (from: number, to: number): number[] => {
    const [a, b] = [first, exact].map((values) => values.slice(from, to).sort());
    return wanted.map((p) => {
      const rank = Math.min(Math.max(Math.ceil(p * (to - from)), 1), to - from) - 1;
      return at(b as Float64Array, rank) - at(a as Float64Array, rank);
    });
  };
  const parts = Math.min(PARTS, Math.floor(n / 2));
  const own = Array.from({ length: parts }, (_, k) =>
    shifts(Math.floor((k * n) / parts), Math.floor(((k + 1) * n) / parts)),
  );
  return shifts(0, n).map((value, q) => ({
    value,
    standardError:
      parts < 2
        ? Math.abs(value)
        : sampleStandardDeviation(own.map((part) => at(part, q))) / Math.sqrt(parts),
  }));
}

/** Figures of simulated cells that can be corrected: probabilities, and quantiles in mm at {@link QUANTILES}. */
interface CellFigures {
  readonly beyondGap: Estimated;
  readonly beyondPress: Estimated;
  readonly closes: Estimated;
  readonly quantiles: readonly AtShare[];
  readonly pressQuantiles: readonly AtShare[];
}

type AtShare = Estimated & { readonly p: number };

/** The figures of the cells seated in first order, each corrected by its shift to exact order; bounds are widened by the standard error of that shift. */
export function correctedToExact<T extends CellFigures>(cell: T, shifts: OrderShifts): T {
  const chance = (estimated: Estimated, shift: OrderShift): Estimated => shifted(estimated, shift, 1);
  const lengths = (all: readonly AtShare[], by: readonly OrderShift[]): readonly AtShare[] =>
    all.map(({ p, ...own }, q) => ({ p, ...shifted(own, at(by, q), Number.POSITIVE_INFINITY) }));
  return {
    ...cell,
    beyondGap: chance(cell.beyondGap, shifts.beyondGap),
    beyondPress: chance(cell.beyondPress, shifts.beyondPress),
    closes: chance(cell.closes, { ...shifts.fails, value: -shifts.fails.value }),
    quantiles: lengths(cell.quantiles, shifts.gap),
    pressQuantiles: lengths(cell.pressQuantiles, shifts.press),
  };
}

/** A figure corrected by a shift and limited to 0 … `most`; its bounds are widened by the standard error of the shift. */
export function shifted(
  { value, low, high }: Estimated,
  { value: by, standardError }: OrderShift,
  most: number,
): Estimated {
  const within = (x: number): number => Math.min(most, Math.max(0, x));
  const moved = within(value + by);
  const margin = (own: number): number => Math.hypot(own, Z * standardError);
  return {
    value: moved,
    low: within(moved - margin(value - low)),
    high: within(moved + margin(high - value)),
  };
}
