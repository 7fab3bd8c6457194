import { at } from "../../core/numeric/dense.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import { CONFIDENCE, chanceFrom, type Estimated } from "../../inference/forecast/tally-blocks.js";
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

/** Shares of the panels whose quantiles are told. */
export const PANEL_QUANTILES = [0.05, 0.5, 0.95] as const;
/** What a figure of one panel comes to over many: its mean and quantiles, in the unit of the figure. */
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

/** How often the cells of a panel close, where, and what drives it; gaps mm, > 0 open, chances from 0 to 1. */
export interface PanelPrediction {
  readonly job: Job;
  readonly shape: GridShape;
  readonly way: PanelWay;
  readonly order: Order;
  readonly seed: number;
  /** Number of panels that were simulated, and whether that is as many as asked for. */
  readonly panels: number;
  readonly status: "done" | "stopped";
  /** Chance that every cell closes; what it would be if the cells, failing as often, had nothing in common. */
  readonly closes: Estimated;
  readonly closesUnshared: number;
  /** Cells of one panel to re-fit: all, those open beyond the gap limit, those pressed beyond the snug limit. */
  readonly refits: OverPanels;
  readonly open: Estimated;
  readonly tight: Estimated;
  /** Largest gap and deepest press of any cell of a panel, mm. */
  readonly widestGap: OverPanels;
  readonly deepestPress: OverPanels;
  /** Share of the spread (variance) of a cell's widest gap that its whole panel has in common. */
  readonly sharedSpread: number;
  /** Row by row from the top. */
  readonly places: readonly PanelPlace[];
  /** The place that fails most often. */
  readonly worstPlace: PanelPlace;
  /** Whether it fails more often than the mean of all by more than chance would have it among so many (95 %). */
  readonly worstStandsOut: boolean;
  readonly size: PanelSize;
  readonly walls: WallSpread;
  /** Share of the laps that a strip has to be pressed into, being thicker than the lap is wide. */
  readonly tightLaps: number;
  /** Number of groups of pieces that could not be fitted by trial, of all that were: left at the end of the search. */
  readonly unfitted: number;
  /** `null` where all was simulated in exact order, the ways or the budget were not asked for, or the work was stopped. */
  readonly orders: ComparedOrders | null;
  readonly ways: readonly ComparedWay[] | null;
  readonly budget: PanelBudget | null;
}

/** Outer width or height of a panel over many, mm. */
export interface OuterSize {
  readonly nominal: number;
  readonly mean: number;
  readonly standardDeviation: number;
  /** What the laps of one strip alone give its length, mm: σ against a stop, σ√n indexed. */
  readonly byLaps: number;
}

/** How a panel's size suits its frame. */
export interface PanelSize {
  readonly width: OuterSize;
  readonly height: OuterSize;
  /** By how much the diagonals across the corners of the border differ for one standard deviation of racking, mm. */
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

/** By how much the diagonals of a w × h frame differ when its corners miss a right angle by φ (rad), mm: √(w² + h² + 2wh·sin φ) − √(w² + h² − 2wh·sin φ). */
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

/** What rows and counts of simulated panels come to. */
export function sumPanels({ panels, rows, places }: SimulatedPanels, shape: GridShape): Sums {
  const { columns } = shape.panel;
  const cells = places.fails.length;
  const column = (at: number): Float64Array =>
    Float64Array.from({ length: panels }, (_, k) => rows[k * ROW.numbers + at]!);
  const fails = column(ROW.fails);
  const closed = fails.reduce((sum, count) => sum + (count === 0 ? 1 : 0), 0);
  const told = Array.from(places.fails, (count, place): PanelPlace => {
    return {
      row: Math.floor(place / columns) + 1,
      column: (place % columns) + 1,
      fails: chanceFrom(count, panels),
      meanGap: placeGap(places.gaps, place, panels),
    };
  });
  const worse = (a: PanelPlace, b: PanelPlace): PanelPlace =>
    b.fails.value > a.fails.value || (b.fails.value === a.fails.value && b.meanGap > a.meanGap) ? b : a;
  const worst = told.reduce(worse);
  const laps = column(ROW.tightLaps);
  return {
    panels,
    closes: chanceFrom(closed, panels),
    closesUnshared: places.fails.reduce((chance, count) => chance * (1 - count / panels), 1),
    refits: over(fails),
    open: meanCount(column(ROW.open)),
    tight: meanCount(column(ROW.tight)),
    widestGap: over(column(ROW.widestGap)),
    deepestPress: over(column(ROW.deepestPress)),
    sharedSpread: sharedSpread(column(ROW.sum), column(ROW.squares), cells),
    places: told,
    worstPlace: worst,
    worstStandsOut: standsOut(worst, cells, panels, places.fails),
    size: panelSize(shape, column(ROW.width), column(ROW.height)),
    tightLaps: laps.reduce((sum, share) => sum + share, 0) / panels,
  };
}

/** The largest of many chances is far from their mean by chance alone: each is tested at a share of 5 % (C. E. Bonferroni). */
function standsOut({ fails }: PanelPlace, cells: number, panels: number, counts: Float64Array): boolean {
  const mean = counts.reduce((sum, count) => sum + count, 0) / cells / panels;
  const margin = normalQuantile(1 - (1 - CONFIDENCE) / cells) * Math.sqrt((mean * (1 - mean)) / panels);
  return fails.value - mean > margin;
}

function over(values: Float64Array): OverPanels {
  return {
    mean: meanCount(values),
    quantiles: PANEL_QUANTILES.map((p) => ({ p, ...quantileOver(values, p) })),
  };
}

/** Analysis of variance of the cells' widest gaps by panel (one way, random): the panels' component of it, as a share of both. */
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
