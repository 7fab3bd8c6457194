import { availableParallelism } from "node:os";
import type { Job } from "../job/job.js";
import { WORTH_A_THREAD } from "../kernel/trials/run-trials.js";
import { chanceFrom, type Estimated } from "../outlook/estimated.js";
import { MOST_THREADS } from "../outlook/job-outlook.js";
import type { Order } from "../predict/settle.js";
import { type ComparedOrders, compareOrders } from "./compare-orders.js";
import { type ComparedWay, compareWays } from "./compare-ways.js";
import { type GridShape, gridShape } from "./grid-shape.js";
import { type PanelBudget, panelBudget } from "./panel-budget.js";
import { type SimulatedPanels, simulatePanels } from "./panel-crew.js";
import { PanelError } from "./panel-error.js";
import { meanCount, quantileOver } from "./panel-estimates.js";
import { type PanelSize, panelSize } from "./panel-size.js";
import { placeGap, ROW } from "./panel-tally.js";
import { type PanelTask, readyPanel } from "./panel-task.js";
import { PANEL_WAYS, type PanelWay } from "./panel-ways.js";
import { type WallSpread, wallSpread } from "./wall-spread.js";

export const DEFAULT_PANELS = 10_000;
export const MOST_PANELS = 1_000_000;
export const FEWEST_PANELS = 20;
/** Shares of the panels whose quantiles are told. */
export const PANEL_QUANTILES = [0.05, 0.5, 0.95] as const;
/** Cells simulated for each line of the budget, for each way of making, and in both orders: at least {@link FEWEST_PANELS} panels. */
export const SIDE_CELLS = { budget: 60_000, ways: 60_000, orders: 60_000 } as const;

export interface PanelProgress {
  readonly stage: "panels" | "orders" | "ways" | "budget";
  readonly done: number;
  readonly of: number;
  /** So far, and seconds left at that rate; 0 before anything is known. */
  readonly perSecond: number;
  readonly secondsLeft: number;
}

export interface PanelOptions {
  /** Whole, {@link FEWEST_PANELS} … {@link MOST_PANELS}, default {@link DEFAULT_PANELS}. */
  readonly panels?: number;
  /** Default: `fitted` or `as-cut` as the job's `lengths` say. */
  readonly way?: PanelWay;
  /** Default `first`, with {@link SIDE_CELLS} cells in both. */
  readonly order?: Order;
  /** Whole, 0 … 2⁵³ − 1, default 1. */
  readonly seed?: number;
  /** Threads at most; by default as many as there are cores, one where there is too little to do. No result depends on it. */
  readonly threads?: number;
  /** Whether the other ways of making it are compared, and the budget is worked out; default true. */
  readonly ways?: boolean;
  readonly budget?: boolean;
  /** Ends the work early with what is known so far. */
  readonly signal?: AbortSignal;
  readonly onProgress?: (progress: PanelProgress) => void;
}

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

export interface PanelPrediction {
  readonly job: Job;
  readonly shape: GridShape;
  readonly way: PanelWay;
  readonly order: Order;
  readonly seed: number;
  /** Panels that were simulated, and whether that is as many as asked for. */
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
  readonly size: PanelSize;
  readonly walls: WallSpread;
  /** Share of the laps that a strip has to be pressed into, being thicker than the lap is wide. */
  readonly tightLaps: number;
  /** Groups of pieces that could not be fitted by trial, of all that were: left at the end of the search. */
  readonly unfitted: number;
  /** `null` where all was simulated in exact order, the ways or the budget were not asked for, or the work was stopped. */
  readonly orders: ComparedOrders | null;
  readonly ways: readonly ComparedWay[] | null;
  readonly budget: PanelBudget | null;
}

/**
 * How a job's panel will turn out: how likely every cell closes, how many are to be re-fitted, where, and why. The pieces' shared errors and the grid are drawn once for each
 * panel, what varies from cut to cut anew for each cell; before any reading, from what the job file says of every source.
 *
 * @throws PanelError for options out of range, a job without a panel, or cells that are not square.
 * @throws SeatingError when a cell finds no rest.
 */
export async function predictPanel(job: Job, options: PanelOptions = {}): Promise<PanelPrediction> {
  const { panels = DEFAULT_PANELS, order = "first", seed = 1, signal, onProgress } = options;
  const way = options.way ?? job.lengths;
  const shape = gridShape(job);
  const cells = shape.panel.rows * shape.panel.columns;
  requireWhole("number of panels", panels, FEWEST_PANELS, MOST_PANELS);
  requireWhole("seed", seed, 0, Number.MAX_SAFE_INTEGER);
  const threads =
    options.threads ?? (panels * cells < WORTH_A_THREAD ? 1 : Math.min(availableParallelism(), MOST_THREADS));
  requireWhole("number of threads", threads, 1, 1024);
  const stopped = (): boolean => signal?.aborted ?? false;
  const tell = (stage: PanelProgress["stage"], all: number) => reporter(stage, all, stopped, onProgress);

  const task: PanelTask = { job, way, order, seed, panels };
  const tellPanels = tell("panels", panels);
  const simulated = await simulatePanels(task, threads, stopped, (begun, blocks) => {
    void tellPanels(begun, blocks);
  });
  const few = (most: number): number =>
    Math.min(simulated.panels, Math.max(FEWEST_PANELS, Math.ceil(most / cells)));
  const side = (most: number): PanelTask => ({ ...task, panels: few(most) });

  let orders: ComparedOrders | null = null;
  if (order === "first" && !stopped()) {
    const sideTask = side(SIDE_CELLS.orders);
    await tell("orders", sideTask.panels)(0, 1);
    if (!stopped()) orders = compareOrders(sideTask);
  }
  let ways: readonly ComparedWay[] | null = null;
  if ((options.ways ?? true) && !stopped()) {
    ways = await compareWays(side(SIDE_CELLS.ways), tell("ways", PANEL_WAYS.length));
  }
  let budget: PanelBudget | null = null;
  if ((options.budget ?? true) && !stopped()) {
    const ready = readyPanel(side(SIDE_CELLS.budget));
    const each = tell("budget", Number.NaN);
    budget = await panelBudget(ready, each);
  }
  return {
    ...{ job, shape, way, order, seed, orders, ways, budget },
    status: stopped() ? "stopped" : "done",
    ...summedUp(task, simulated, shape),
    unfitted: simulated.unfitted,
    walls: wallSpread(job, seed),
  };
}

function requireWhole(what: string, value: number, least: number, most: number): void {
  if (Number.isInteger(value) && value >= least && value <= most) return;
  throw new PanelError(
    `The ${what} is out of range: it must be whole, from ${least} to ${most}; it is ${value}.`,
  );
}

/** Reports how far a stage is and lets signals be heard; answers whether to go on. */
function reporter(
  stage: PanelProgress["stage"],
  all: number,
  stopped: () => boolean,
  onProgress: PanelOptions["onProgress"],
): (done: number, of: number) => Promise<boolean> {
  const start = performance.now();
  return async (done, of) => {
    const seconds = (performance.now() - start) / 1000;
    const each = Number.isNaN(all) ? 1 : all / of;
    const perSecond = seconds > 0 ? (done * each) / seconds : 0;
    const secondsLeft = done > 0 ? (seconds * (of - done)) / done : 0;
    onProgress?.({ stage, done: Math.round(done * each), of: Math.round(of * each), perSecond, secondsLeft });
    await new Promise((resolve) => setImmediate(resolve));
    return !stopped();
  };
}

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
  | "size"
  | "tightLaps"
>;

function summedUp({ job }: PanelTask, { panels, rows, places }: SimulatedPanels, shape: GridShape): Sums {
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
    worstPlace: told.reduce(worse),
    size: panelSize(shape, job, column(ROW.width), column(ROW.height)),
    tightLaps: laps.reduce((sum, share) => sum + share, 0) / panels,
  };
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
