import type { Job } from "../job/job.js";
import type { Estimated } from "../outlook/estimated.js";
import type { Order } from "../lattice/cell.js";
import type { ComparedOrders } from "./compare-orders.js";
import type { ComparedWay } from "./compare-ways.js";
import type { GridShape } from "./grid-shape.js";
import type { PanelBudget } from "./panel-budget.js";
import type { PanelSize } from "./panel-size.js";
import type { PanelWay } from "./panel-ways.js";
import type { WallSpread } from "./wall-spread.js";

/** Shares of the panels whose quantiles are told. */
export const PANEL_QUANTILES = [0.05, 0.5, 0.95] as const;
/** What a figure of one panel comes to over many. */
export interface OverPanels {
  readonly mean: Estimated;
  /** At {@link PANEL_QUANTILES}. */
  readonly quantiles: readonly (Estimated & { readonly p: number })[];
}

/** One cell's place in the panel. */
export interface PanelPlace {
  /** From the top and from the left, 1 first. */
  readonly row: number;
  readonly column: number;
  /** Chance that the cell does not close. */
  readonly fails: Estimated;
  /** Mean of its worst gap, mm. */
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
  readonly worstGap: OverPanels;
  readonly worstPress: OverPanels;
  /** Share of the spread (variance) of a cell's worst gap that its whole panel has in common. */
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
