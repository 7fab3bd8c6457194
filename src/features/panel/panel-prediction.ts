import { at } from "../../core/numeric/dense.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import type { CellDraws } from "../../inference/forecast/cell-drawer.js";
import { shifted } from "../../inference/forecast/exact-correction.js";
import { effectiveCount } from "../../inference/forecast/shop-range.js";
import { CONFIDENCE, chanceFrom, type Estimated, Z } from "../../inference/forecast/tally-blocks.js";
import type { JobPosterior } from "../../inference/job-posterior.js";
import type { Order } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import type { PanelFrame } from "../../model/job/panel.js";
import {
  type ComparedOrders,
  type ComparedWay,
  meanCount,
  type PanelBudget,
  quantileOver,
} from "./compare.js";
import type { WallSpread } from "./draw-panel.js";
import { type GridShape, lengthDeviation, type PanelWay } from "./grid-shape.js";
import { placeGap, ROW } from "./panel-tally.js";
import type { SimulatedPanels } from "./simulate-panels.js";

/** Probabilities of the reported quantiles over panels. */
export const PANEL_QUANTILES = [0.05, 0.5, 0.95] as const;
/** Distribution of a figure over many panels: its mean and quantiles, in the unit of the figure. */
export interface OverPanels {
  readonly mean: Estimated;
  /** Its quantiles; `p` is the probability of each, 0 to 1. */
  readonly quantiles: readonly (Estimated & { readonly p: number })[];
}

/** One cell's place in the panel. */
export interface PanelPlace {
  /** Index from the top and from the left, 1 first. */
  readonly row: number;
  readonly column: number;
  /** Chance that the cell does not close. */
  readonly fails: Estimated;
  /** Mean of its widest gap, mm. */
  readonly meanGap: number;
}

/** How often the cells of a panel close, where, and what drives it; gaps in mm, > 0 open, probabilities from 0 to 1. */
export interface PanelPrediction {
  readonly job: Job;
  /** The posterior that the prediction is computed from. */
  readonly posterior: JobPosterior;
  readonly shape: GridShape;
  readonly way: PanelWay;
  readonly order: Order;
  /** Seed of every draw, an integer ≥ 0. */
  readonly seed: number;
  /** Number of simulated panels, and whether all requested ones were simulated. */
  readonly panels: number;
  readonly status: "done" | "stopped";
  /** Probability that every cell closes, and the same if the cells failed as often but independently of each other. */
  readonly closes: Estimated;
  readonly closesUnshared: number;
  /** Cells of one panel to re-fit: all, those open beyond the gap limit, those pressed beyond the snug limit. */
  readonly refits: OverPanels;
  readonly open: Estimated;
  readonly tight: Estimated;
  /** Largest gap and deepest press of any cell of a panel, mm. */
  readonly widestGap: OverPanels;
  readonly deepestPress: OverPanels;
  /** Share of the variance of a cell's widest gap that is common to its whole panel. */
  readonly sharedSpread: number;
  /** The cells, row by row from the top. */
  readonly places: readonly PanelPlace[];
  /** The place of the cell that fails most often. */
  readonly worstPlace: PanelPlace;
  /** Whether it fails significantly more often than the mean of all (95 %, corrected for the number of cells). */
  readonly worstStandsOut: boolean;
  readonly size: PanelSize;
  readonly walls: WallSpread;
  /** Share of the laps that a strip has to be pressed into, being thicker than the lap is wide. */
  readonly tightLaps: number;
  /** Number of groups of pieces, over all cells of all panels, that could not be fitted by trial; they keep the length at which the search ended. */
  readonly unfitted: number;
  /** `null` if everything was simulated in exact order, if the ways or the budget were not requested, or if the computation was stopped. */
  readonly orders: ComparedOrders | null;
  readonly ways: readonly ComparedWay[] | null;
  readonly budget: PanelBudget | null;
}

/** Outer width or height of a panel over many, mm. */
export interface OuterSize {
  readonly nominal: number;
  readonly mean: number;
  readonly standardDeviation: number;
  /** Standard deviation of a strip's length due to its laps alone, mm: σ against a stop, σ√n indexed. */
  readonly byLaps: number;
}

/** How a panel's size suits its frame. */
export interface PanelSize {
  readonly width: OuterSize;
  readonly height: OuterSize;
  /** Difference of the border's diagonals for one standard deviation of racking, mm. */
  readonly diagonals: number;
  /** Chance that the panel goes into the frame with no more than the allowed play, that it is too large, that it is too small; `null` without a frame. */
  readonly frame: { readonly fits: Estimated; readonly large: Estimated; readonly small: Estimated } | null;
}

export function panelSize(shape: GridShape, widths: Float64Array, heights: Float64Array): PanelSize {
  const { laps, racked, frame } = shape.panel;
  return {
    width: { ...spreadOf(widths), nominal: shape.width, byLaps: lengthDeviation(laps, shape.laps.across) },
    height: { ...spreadOf(heights), nominal: shape.height, byLaps: lengthDeviation(laps, shape.laps.down) },
    diagonals: diagonalDifference(shape.width, shape.height, racked),
    frame: frame && suits(frame, widths, heights),
  };
}

/** Difference of the diagonals of a w × h frame whose corners deviate from a right angle by φ (rad), mm: √(w² + h² + 2wh·sin φ) − √(w² + h² − 2wh·sin φ). */
export function diagonalDifference(width: number, height: number, racked: number): number {
  const skew = 2 * width * height * Math.sin(racked);
  const square = width ** 2 + height ** 2;
  return Math.sqrt(square + skew) - Math.sqrt(square - skew);
}

function spreadOf(values: Float64Array): { mean: number; standardDeviation: number } {
  const mean = values.reduce((sum, value) => sum + value, 0) / values.length;
  const squares = values.reduce((sum, value) => sum + (value - mean) ** 2, 0);
  return { mean, standardDeviation: Math.sqrt(squares / (values.length - 1)) };
}

function suits(
  { width, height, play }: PanelFrame,
  widths: Float64Array,
  heights: Float64Array,
): PanelSize["frame"] {
  const panels = widths.length;
  let [large, small] = [0, 0];
  for (let k = 0; k < panels; k++) {
    const [left, above] = [width - at(widths, k), height - at(heights, k)];
    if (left < 0 || above < 0) large++;
    else if (left > play || above > play) small++;
  }
  return {
    fits: chanceFrom(panels - large - small, panels),
    large: chanceFrom(large, panels),
    small: chanceFrom(small, panels),
  };
}

/** Summary of the rows and counts of simulated panels. */
export function sumPanels(
  { panels, rows, places }: SimulatedPanels,
  shape: GridShape,
  shops: CellDraws["shops"],
): Sums {
  const { columns } = shape.panel;
  const cells = places.fails.length;
  const column = (at: number): Float64Array =>
    Float64Array.from({ length: panels }, (_, k) => rows[k * ROW.numbers + at]!);
  const fails = column(ROW.fails);
  const closing = fails.map((count) => (count === 0 ? 1 : 0));
  const worth = effectiveCount(closing, shops);
  const chance = (happened: number): Estimated => chanceFrom((happened / panels) * worth, worth);
  const closed = closing.reduce((sum, one) => sum + one, 0);
  const told = Array.from(places.fails, (count, place): PanelPlace => {
    return {
      row: Math.floor(place / columns) + 1,
      column: (place % columns) + 1,
      fails: chance(count),
      meanGap: placeGap(places.gaps, place, panels),
    };
  });
  const worse = (a: PanelPlace, b: PanelPlace): PanelPlace =>
    b.fails.value > a.fails.value || (b.fails.value === a.fails.value && b.meanGap > a.meanGap) ? b : a;
  const worst = told.reduce(worse);
  const laps = column(ROW.tightLaps);
  return {
    panels,
    closes: chance(closed),
    closesUnshared: places.fails.reduce((chance, count) => chance * (1 - count / panels), 1),
    refits: over(fails, shops),
    open: meanCount(column(ROW.open), shops),
    tight: meanCount(column(ROW.tight), shops),
    widestGap: over(column(ROW.widestGap), shops),
    deepestPress: over(column(ROW.deepestPress), shops),
    sharedSpread: sharedSpread(column(ROW.sum), column(ROW.squares), cells),
    places: told,
    worstPlace: worst,
    worstStandsOut: standsOut(worst, cells, panels, places.fails),
    size: panelSize(shape, column(ROW.width), column(ROW.height)),
    tightLaps: laps.reduce((sum, share) => sum + share, 0) / panels,
  };
}

/** Bonferroni correction (C. E. Bonferroni): the largest of many estimated probabilities is far from their mean by chance alone, so each is tested at a fraction of 5 %. */
function standsOut({ fails }: PanelPlace, cells: number, panels: number, counts: Float64Array): boolean {
  const mean = counts.reduce((sum, count) => sum + count, 0) / cells / panels;
  const margin = normalQuantile(1 - (1 - CONFIDENCE) / cells) * Math.sqrt((mean * (1 - mean)) / panels);
  return fails.value - mean > margin;
}

/** If every panel was seated in first order, adds the change to exact order, estimated from the panels seated in both orders. */
export function inExactOrder(sums: Sums, orders: ComparedOrders | null): Sums {
  if (orders === null) return sums;
  const { closes, refits } = orders.difference;
  const shift = ({ value, low, high }: Estimated) => ({ value, standardError: (high - low) / 2 / Z });
  return {
    ...sums,
    closes: shifted(sums.closes, shift(closes), 1),
    refits: { ...sums.refits, mean: shifted(sums.refits.mean, shift(refits), sums.places.length) },
  };
}

function over(values: Float64Array, shops: CellDraws["shops"]): OverPanels {
  return {
    mean: meanCount(values, shops),
    quantiles: PANEL_QUANTILES.map((p) => ({ p, ...quantileOver(values, p, shops) })),
  };
}

/** One-way random-effects analysis of variance of the cells' widest gaps by panel: the between-panel component as a share of the total variance. */
function sharedSpread(sums: Float64Array, squares: Float64Array, cells: number): number {
  const panels = sums.length;
  const total = sums.reduce((all, sum) => all + sum, 0);
  const mean = total / (panels * cells);
  const between = sums.reduce((all, sum) => all + (sum / cells - mean) ** 2, 0) * (cells / (panels - 1));
  if (cells === 1) return 1;
  const within =
    squares.reduce((all, square, k) => all + square - at(sums, k) ** 2 / cells, 0) / (panels * (cells - 1));
  const shared = Math.max(0, (between - within) / cells);
  return shared + within > 0 ? shared / (shared + within) : 0;
}

export type Sums = Pick<
  PanelPrediction,
  | "panels"
  | "closes"
  | "closesUnshared"
  | "refits"
  | "open"
  | "tight"
  | "widestGap"
  | "deepestPress"
  | "sharedSpread"
  | "places"
  | "worstPlace"
  | "worstStandsOut"
  | "size"
  | "tightLaps"
>;
