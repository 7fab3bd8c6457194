import { availableParallelism } from "node:os";
import { UserError } from "../../core/errors.js";
import { MOST_THREADS, WORTH_A_THREAD } from "../../inference/forecast/tally-blocks.js";
import type { Order } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import {
  type ComparedOrders,
  type ComparedWay,
  compareOrders,
  compareWays,
  type PanelBudget,
  panelBudget,
} from "./compare.js";
import { wallSpread } from "./draw-panel.js";
import { gridShape, PANEL_WAYS, type PanelWay } from "./grid-shape.js";
import { type PanelPrediction, sumPanels } from "./panel-prediction.js";
import { type PanelTask, readyPanel } from "./panel-tally.js";
import { simulatePanels } from "./simulate-panels.js";

export const DEFAULT_PANELS = 10_000;
export const MOST_PANELS = 1_000_000;
export const FEWEST_PANELS = 20;
/** Cells simulated for each line of the budget, for each way of making, and in both orders: at least {@link FEWEST_PANELS} panels. */
export const SIDE_CELLS = { budget: 60_000, ways: 60_000, orders: 60_000 } as const;

/** How far the simulation of panels has come. */
export interface PanelProgress {
  readonly stage: "panels" | "orders" | "ways" | "budget";
  /** Number of panels simulated in this stage, and how many there are. */
  readonly done: number;
  readonly of: number;
  /** So far, and seconds left at that rate; 0 before anything is known. */
  readonly perSecond: number;
  readonly secondsLeft: number;
}

/** How many panels are simulated, how their pieces are made and seated, and on how many threads. */
export interface PanelOptions {
  /** Whole, {@link FEWEST_PANELS} … {@link MOST_PANELS}, default {@link DEFAULT_PANELS}. */
  readonly panels?: number;
  /** Default: `fitted` or `as-cut` as the job's `lengths` say. */
  readonly way?: PanelWay;
  /** Default `first`, with {@link SIDE_CELLS} cells in both. */
  readonly order?: Order;
  /** Whole, 0 … 2⁵³ − 1, default 1. */
  readonly seed?: number;
  /** Number of threads at most; by default as many as there are cores, one where there is too little to do. No result depends on it. */
  readonly threads?: number;
  /** Whether the other ways of making it are compared, and the budget is worked out; default true. */
  readonly ways?: boolean;
  readonly budget?: boolean;
  /** Ends the work early with what is known so far. */
  readonly signal?: AbortSignal;
  readonly onProgress?: (progress: PanelProgress) => void;
}

/**
 * How a job's panel will turn out: how likely every cell closes, how many are to be re-fitted, where, and why. The pieces' shared errors and the grid are drawn once for each
 * panel, what varies from cut to cut anew for each cell; before any reading, from what the job file says of every source.
 *
 * @throws UserError (code "panel") for options out of range, a job without a panel, or cells that are neither rectangles nor equilateral triangles.
 * @throws UserError (code "seating") when a cell finds no rest.
 * @example
 * const panel = await predictPanel(job, { panels: 200, ways: false, budget: false, threads: 1 });
 * panel.closes.low <= panel.closes.value // true
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
  const simulated = await simulatePanels(task, cells, threads, stopped, (begun, blocks) => {
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
    ...sumPanels(simulated, shape),
    unfitted: simulated.unfitted,
    walls: wallSpread(job, seed),
  };
}

function requireWhole(what: string, value: number, least: number, most: number): void {
  if (Number.isInteger(value) && value >= least && value <= most) return;
  throw new UserError(
    "panel",
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
