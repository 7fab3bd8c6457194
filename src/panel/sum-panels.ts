import { normalQuantile } from "../numeric/normal-quantile.js";
import { CONFIDENCE, chanceFrom } from "../outlook/estimated.js";
import type { GridShape } from "./grid-shape.js";
import type { SimulatedPanels } from "./panel-crew.js";
import { meanCount, quantileOver } from "./panel-estimates.js";
import {
  type OverPanels,
  PANEL_QUANTILES,
  type PanelPlace,
  type PanelPrediction,
} from "./panel-prediction.js";
import { panelSize } from "./panel-size.js";
import { placeGap, ROW } from "./panel-tally.js";

type Sums = Pick<
  PanelPrediction,
  | "panels"
  | "closes"
  | "closesUnshared"
  | "refits"
  | "open"
  | "tight"
  | "worstGap"
  | "worstPress"
  | "sharedSpread"
  | "places"
  | "worstPlace"
  | "worstStandsOut"
  | "size"
  | "tightLaps"
>;

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
    worstGap: over(column(ROW.worstGap)),
    worstPress: over(column(ROW.worstPress)),
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

/** Analysis of variance of the cells' worst gaps by panel (one way, random): the panels' component of it, as a share of both. */
function sharedSpread(sums: Float64Array, squares: Float64Array, cells: number): number {
  const panels = sums.length;
  const total = sums.reduce((all, sum) => all + sum, 0);
  const mean = total / (panels * cells);
  const between = sums.reduce((all, sum) => all + (sum / cells - mean) ** 2, 0) * (cells / (panels - 1));
  if (cells === 1) return 1;
  const within =
    squares.reduce((all, square, k) => all + square - sums[k]! ** 2 / cells, 0) / (panels * (cells - 1));
  const shared = Math.max(0, (between - within) / cells);
  return shared + within > 0 ? shared / (shared + within) : 0;
}
