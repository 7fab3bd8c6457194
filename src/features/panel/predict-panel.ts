import { availableParallelism } from "node:os";
import { UserError } from "../../core/errors.js";
import { MOST_SEED } from "../../core/numeric/random-stream.js";
import { MOST_POOL_THREADS } from "../../core/threads/worker-pool.js";
import { MOST_THREADS, WORTH_A_THREAD } from "../../inference/forecast/tally-blocks.js";
import { type JobPosterior, jobPosterior, knownSources } from "../../inference/job-posterior.js";
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
import { panelSources, wallSpread } from "./draw-panel.js";
import { gridShape, PANEL_WAYS, type PanelWay } from "./grid-shape.js";
import { inExactOrder, type PanelPrediction, sumPanels } from "./panel-prediction.js";
import { type PanelTask, readyPanel } from "./panel-tally.js";
import { simulatePanels } from "./simulate-panels.js";

export const DEFAULT_PANELS = 10_000;
export const MOST_PANELS = 1_000_000;
export const FEWEST_PANELS = 20;
/** Number of cells simulated for each line of the budget, for each way of making, and in both orders; at least {@link FEWEST_PANELS} panels. */
export const SIDE_CELLS = { budget: 60_000, ways: 60_000, orders: 60_000 } as const;

/** Progress of the simulation of panels. */
export interface PanelProgress {
  readonly stage: "panels" | "orders" | "ways" | "budget";
  /** Number of panels simulated so far in this stage, and their total number. */
  readonly done: number;
  readonly of: number;
  /** Panels per second so far, and remaining seconds at that rate; 0 before a rate is known. */
  readonly perSecond: number;
  readonly secondsLeft: number;
}

/** Number of panels, how their pieces are made and seated, and number of threads. */
export interface PanelOptions {
  /** Posterior of the job's sources, as the jigs stand or after moves; default: the prior that the job states, without readings. */
  readonly posterior?: JobPosterior;
  /** Number of panels, an integer {@link FEWEST_PANELS} … {@link MOST_PANELS}, default {@link DEFAULT_PANELS}. */
  readonly panels?: number;
  /** How the pieces are made; default: `fitted` or `as-cut`, according to the job's `lengths`. */
  readonly way?: PanelWay;
  /** Order of seating; default `first`, with {@link SIDE_CELLS} cells in both orders. */
  readonly order?: Order;
  /** Seed, an integer 0 … 2⁵³ − 1, default 1. */
  readonly seed?: number;
  /** Number of threads at most; default: the number of cores, or one if there is too little work. Results do not depend on it. */
  readonly threads?: number;
  /** Whether the other ways of making the panel are compared, and whether the budget is computed; default true. */
  readonly ways?: boolean;
  readonly budget?: boolean;
  /** Ends the computation early; the results so far are returned. */
  readonly signal?: AbortSignal;
  readonly onProgress?: (progress: PanelProgress) => void;
}

/**
 * Predicts a job's panel: the probability that every cell closes, and how many cells have to be re-fitted, where, and why. The pieces' shared errors and the grid are drawn once for each
 * panel, and cut-to-cut errors anew for each cell.
 *
 * @throws UserError (code "panel") for options out of range, a job without a panel, or cells that are neither rectangles nor equilateral triangles.
 * @throws UserError (code "seating") when a cell finds no equilibrium.
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
  requireWhole("seed", seed, 0, MOST_SEED);
  const threads =
    options.threads ?? (panels * cells < WORTH_A_THREAD ? 1 : Math.min(availableParallelism(), MOST_THREADS));
  requireWhole("number of threads", threads, 1, MOST_POOL_THREADS);
  const stopped = (): boolean => signal?.aborted ?? false;
  const tell = (stage: PanelProgress["stage"], all: number) => reporter(stage, all, stopped, onProgress);

  const posterior = options.posterior ?? jobPosterior(job, [], { seed });
  const task: PanelTask = { job, known: knownSources(posterior), way, order, seed, panels };
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
    job,
    posterior,
    shape,
    way,
    order,
    seed,
    orders,
    ways,
    budget,
    status: stopped() ? "stopped" : "done",
    ...inExactOrder(sumPanels(simulated, shape, panelSources(job, task.known).draws.shops), orders),
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

/** Reports the progress of a stage and yields to the event loop; returns whether to continue. */
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
