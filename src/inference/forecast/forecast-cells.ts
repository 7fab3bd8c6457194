import { availableParallelism } from "node:os";
import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import { WorkerPool } from "../../core/threads/worker-pool.js";
import type { Order } from "../../model/cell/cell.js";
import { closingLimits, type Job } from "../../model/job/job.js";
import type { SeaterOptions } from "../../physics/kernel/fitted-kernel.js";
import { DEFAULT_MONTE_CARLO_DIGITS, DEFAULT_MOST_TRIALS } from "../../uncertainty/monte-carlo.js";
import {
  blockErrors,
  type Interval,
  numericalTolerance,
  type OutputSummary,
} from "../../uncertainty/monte-carlo-blocks.js";
import {
  type OrderDifference,
  orderDifference,
  type TrimForecast,
  trimForecast,
  type WorstAtOnce,
  worstAtOnce,
} from "./cross-checks.js";
import { type ForecastSources, forecastSources } from "./forecast-sources.js";
import { BUDGET_REPLICATES, type GroupBudget, groupBudget } from "./group-budget.js";
import { judgeLinear, type LinearAnswer, type LinearVerdict, linearAnswers } from "./linear-answer.js";
import {
  BEYOND,
  type BlockRow,
  COVERAGE_PROBABILITY,
  chanceFrom,
  type Estimated,
  FORECAST_BLOCK,
  type ForecastCounts,
  type ForecastTask,
  forecastBlocks,
  GapCounts,
  MOST_THREADS,
  mergeCounts,
  quantileFrom,
  WORTH_A_THREAD,
} from "./tally-blocks.js";

export const DEFAULT_FORECAST_TRIALS = 1_000_000;
export const MOST_FORECAST_TRIALS = 1_000_000_000;
/** Shares of the cells at which quantiles are reported. */
export const QUANTILES = [0.05, 0.25, 0.5, 0.75, 0.95, 0.99] as const;
/** Number of cells seated in both orders to estimate the error of the first order. */
export const BOTH_ORDERS = 16_384;
/** Number of blocks between two checks whether an adaptive run is stable. */
const BLOCKS_A_CHECK = 8;

/** Progress of a forecast. */
export interface ForecastProgress {
  readonly stage: "cells" | "orders" | "budget";
  /** Number of cells simulated in this stage, and how many there are. */
  readonly done: number;
  readonly of: number;
  /** Cells a second so far, and seconds left at that rate; 0 before anything is known. */
  readonly perSecond: number;
  readonly secondsLeft: number;
}

/** How many cells a forecast draws, how it seats them, and on how many threads. */
export interface ForecastOptions {
  /** How many cells are cut and seated, 100 … 10⁹, default 10⁶; `adaptive`: as many as a stable answer takes (JCGM 101:2008, 7.9), at most 10⁷. */
  readonly trials?: number | "adaptive";
  /** Default `first`, with {@link BOTH_ORDERS} cells in both. */
  readonly order?: Order;
  /** Whole, 0 … 2⁵³ − 1, default 1: the same seed gives the same forecast. */
  readonly seed?: number;
  /** Number of threads at most; by default as many as there are cores up to {@link MOST_THREADS}, one where there is too little to do. No result depends on it. */
  readonly threads?: number;
  /** Number of cells seated in both orders, 2 or more, or 0 for none; default {@link BOTH_ORDERS}. */
  readonly bothOrders?: number;
  /** Whether the budget and the worst case are computed; default true. */
  readonly budget?: boolean;
  /** Ends the work early with what is known so far. */
  readonly signal?: AbortSignal;
  readonly onProgress?: (progress: ForecastProgress) => void;
}

/** Distribution of a joint's wider end, or of a cell's widest gap. */
export interface OpeningForecast {
  /** Chance of a gap beyond the gap limit, of a press beyond the snug limit (none where pieces are fitted by trial), of neither. */
  readonly beyondGap: Estimated;
  readonly beyondPress: Estimated;
  readonly closes: Estimated;
  /** mm; mean and standard deviation to 0.05 %. */
  readonly mean: number;
  readonly standardDeviation: number;
  /** Of the opening, mm ≥ 0, at {@link QUANTILES}. */
  readonly quantiles: readonly (Estimated & { readonly p: number })[];
  /** The answer of the law of propagation of uncertainty, and whether it agrees with the simulation. */
  readonly linear: LinearAnswer;
  readonly linearVerdict: LinearVerdict;
}

/** The forecast of a whole cell: all its joints, front and back. */
export interface CellForecast extends OpeningForecast {
  /** Shortest 95 % interval of the widest gap, mm, and the standard error of its ends by their scatter over blocks; `null` below two blocks. */
  readonly shortest: Interval;
  readonly shortestErrors: Interval | null;
  /** Of the deepest press, mm ≥ 0. */
  readonly pressQuantiles: readonly (Estimated & { readonly p: number })[];
}

/** How the cells to come will close; gaps mm, > 0 open, chances from 0 to 1. */
export interface Forecast {
  readonly job: Job;
  readonly sources: ForecastSources;
  readonly order: Order;
  readonly seed: number;
  /** Number of cells that were seated. */
  readonly trials: number;
  /** `fixed`: as many as asked for. `stable`, `not stable`: of an adaptive run. `stopped`: ended early, what was not begun is `null`. */
  readonly status: "fixed" | "stable" | "not stable" | "stopped";
  /** Tolerance that twice the standard errors had to reach, mm, in an adaptive run; else `null`. */
  readonly tolerance: number | null;
  readonly cell: CellForecast;
  readonly joints: readonly (OpeningForecast & { readonly joint: string })[];
  /** The widest gap's counts, for drawing. */
  readonly gapCounts: GapCounts;
  /** `null` where all cells were seated in exact order, or none was to be seated in both. */
  readonly orders: OrderDifference | null;
  readonly budget: GroupBudget | null;
  /** The worst cell with every source off at once; `null` where the budget was not wanted, the work ended early, or such a cell finds no rest. */
  readonly atOnce: WorstAtOnce | null;
  /** Where the job's pieces are fitted by trial: the trim of each group, in the order of fitting; else `null`. */
  readonly trims: readonly TrimForecast[] | null;
  /** Number of groups of pieces, over all cells, that no length within a quarter of their own fits. */
  readonly unfitted: number;
}

/**
 * The distribution of the gaps of the job's next cells before any reading, by Monte Carlo over the priors of every source of error (JCGM 101:2008), and the shares of the sources in it
 * (variance-based sensitivity indices). Where pieces are fitted by trial, every cell is fitted first, from pieces that start long enough. Whether faces still meet is not checked.
 *
 * @throws UserError (code "forecast") for options out of range, or a job none of whose sources has any spread.
 * @throws UserError (code "seating") when a trial finds no rest.
 * @example
 * const { cell: forecast } = await forecastCells(job, { trials: 2000, seed: 1, threads: 1 });
 * forecast.closes.low < forecast.closes.value // true
 */
export async function forecastCells(job: Job, options: ForecastOptions = {}): Promise<Forecast> {
  const { trials = DEFAULT_FORECAST_TRIALS, order = "first", seed = 1, signal, onProgress } = options;
  const most = trials === "adaptive" ? DEFAULT_MOST_TRIALS : trials;
  requireWhole("number of trials", most, 100, MOST_FORECAST_TRIALS);
  requireWhole("seed", seed, 0, Number.MAX_SAFE_INTEGER);
  const threads =
    options.threads ?? (most < WORTH_A_THREAD ? 1 : Math.min(availableParallelism(), MOST_THREADS));
  requireWhole("number of threads", threads, 1, 1024);
  const sources = forecastSources(job);
  if (sources.inputs.draws === 0)
    throw new UserError(
      "forecast",
      "There is nothing to simulate: at least one source of error must have a spread; in this job all are 0.",
    );
  const { pressRatio } = job;
  const limits = closingLimits(job);
  const seater = {
    ...{ order, pressRatio },
    ...(job.lengths === "fitted" && { fitting: { snug: job.limits.snug } }),
  };
  const kernel = { ...seater, inputs: sources.inputs };
  const stopped = (): boolean => signal?.aborted ?? false;
  const pool: ForecastPool = new WorkerPool(
    {
      ...{ start: forecastBlocks, module: new URL("./tally-blocks.js", import.meta.url) },
      task: { cell: sources.cell, kernel, limits, trials: most, seed },
    },
    { threads },
  );
  let run: { status: Forecast["status"]; tolerance: number | null };
  let counts: ForecastCounts;
  try {
    run = await seatAll(pool, trials, most, stopped, onProgress);
    counts = mergeCounts(await pool.totals());
  } finally {
    await pool.close();
  }
  const done = pool.rows.reduce((sum, row) => sum + row.trials, 0);
  const summed = summedUp(sources, limits.gap, pool.rows, counts, seater);
  const both = Math.min(done, options.bothOrders ?? BOTH_ORDERS);
  let orders: OrderDifference | null = null;
  if (order === "first" && both >= 2 && !stopped()) {
    onProgress?.({ stage: "orders", done: 0, of: both, perSecond: 0, secondsLeft: 0 });
    orders = orderDifference(sources, { limits, ...seater, trials: both, seed });
  }
  let budget: GroupBudget | null = null;
  let atOnce: WorstAtOnce | null = null;
  if ((options.budget ?? true) && !stopped()) {
    atOnce = worstAtOnce(sources, seater);
    const onReplicate = reporter("budget", { each: 1, most: BUDGET_REPLICATES }, stopped, onProgress);
    budget = await groupBudget(sources, { limits, ...seater, pressRatio, order, seed, onReplicate });
  }
  return {
    ...{ job, sources, order, seed, trials: done, ...run, ...summed, orders, budget, atOnce },
    unfitted: counts.unfitted,
    status: stopped() ? "stopped" : run.status,
  };
}

type ForecastPool = WorkerPool<ForecastTask, BlockRow, ForecastCounts>;

function requireWhole(what: string, value: number, least: number, most: number): void {
  if (Number.isInteger(value) && value >= least && value <= most) return;
  throw new UserError(
    "forecast",
    `The ${what} is out of range: it must be whole, from ${least} to ${most}; it is ${value}.`,
  );
}

async function seatAll(
  pool: ForecastPool,
  trials: number | "adaptive",
  most: number,
  stopped: () => boolean,
  onProgress: ForecastOptions["onProgress"],
): Promise<{ status: Forecast["status"]; tolerance: number | null }> {
  const blocks = Math.ceil(most / FORECAST_BLOCK);
  const report = reporter("cells", { each: FORECAST_BLOCK, most }, stopped, onProgress);
  const onBlock = (begun: number): void => {
    void report(begun, blocks);
    if (stopped()) pool.stop();
  };
  if (trials !== "adaptive") {
    await pool.work(blocks, onBlock);
    return { status: stopped() ? "stopped" : "fixed", tolerance: null };
  }
  // Only whole blocks are compared with each other.
  const whole = Math.floor(most / FORECAST_BLOCK);
  let tolerance: number | null = null;
  for (let until = 0; until < whole && !stopped(); ) {
    until = Math.min(until + BLOCKS_A_CHECK, whole);
    await pool.work(until, onBlock);
    if (pool.rows.length < 2) continue;
    const stability = stabilityOf(pool.rows);
    tolerance = stability.tolerance;
    if (stability.stable) return { status: "stable", tolerance };
  }
  return { status: stopped() ? "stopped" : "not stable", tolerance };
}

/** Whether twice the standard errors of mean, standard deviation and interval ends are below the tolerance (JCGM 101:2008, 7.9.4). */
function stabilityOf(rows: readonly OutputSummary[]): { stable: boolean; tolerance: number } {
  const u = Math.sqrt(rows.reduce((sum, row) => sum + row.standardUncertainty ** 2, 0) / rows.length);
  if (u === 0) return { stable: true, tolerance: 0 };
  const tolerance = numericalTolerance(u, DEFAULT_MONTE_CARLO_DIGITS);
  const { estimate, standardUncertainty, symmetric, shortest } = blockErrors(rows);
  return {
    stable: 2 * Math.max(estimate, standardUncertainty, ...symmetric, ...shortest) < tolerance,
    tolerance,
  };
}

/** Reports progress and yields to the event loop; returns false if aborted. */
function reporter(
  stage: ForecastProgress["stage"],
  { each, most }: { each: number; most: number },
  stopped: () => boolean,
  onProgress: ForecastOptions["onProgress"],
): (done: number, of: number) => Promise<boolean> {
  const start = performance.now();
  return async (done, of) => {
    const seconds = (performance.now() - start) / 1000;
    const all = Math.min(of * each, most);
    const perSecond = seconds > 0 ? (done * each) / seconds : 0;
    const secondsLeft = done > 0 ? (seconds * (of - done)) / done : 0;
    onProgress?.({ stage, done: Math.min(done * each, all), of: all, perSecond, secondsLeft });
    await new Promise((resolve) => setImmediate(resolve));
    return !stopped();
  };
}

function summedUp(
  sources: ForecastSources,
  gapLimit: number,
  rows: readonly OutputSummary[],
  { gap, press, joints, beyond, trims }: ForecastCounts,
  seater: SeaterOptions,
): Pick<Forecast, "cell" | "joints" | "gapCounts" | "trims"> {
  const linear = linearAnswers(sources, gapLimit, seater);
  const opening = (row: number, counts: GapCounts, answer: LinearAnswer): OpeningForecast => {
    const { total, standardDeviation } = counts;
    const happened = (kind: number): number => at(beyond, BEYOND.kinds * row + kind);
    const ends = [quantileFrom(counts, TAIL), quantileFrom(counts, 1 - TAIL)] as const;
    const doubt = Math.max(...ends.map(({ low, high }) => (high - low) / 2));
    return {
      beyondGap: chanceFrom(happened(BEYOND.gap), total),
      beyondPress: chanceFrom(happened(BEYOND.press), total),
      closes: chanceFrom(total - happened(BEYOND.either), total),
      ...{ mean: counts.mean, standardDeviation, quantiles: quantilesOf(counts), linear: answer },
      linearVerdict: judgeLinear(answer, [ends[0].value, ends[1].value], standardDeviation, doubt),
    };
  };
  const gapCounts = new GapCounts(gap);
  return {
    gapCounts,
    trims: seater.fitting ? trimForecast(sources.reader.fittingPlan, trims) : null,
    cell: {
      ...opening(0, gapCounts, linear.cell),
      shortest: gapCounts.shortest(COVERAGE_PROBABILITY),
      shortestErrors: shortestErrors(rows),
      pressQuantiles: quantilesOf(new GapCounts(press)),
    },
    joints: sources.cell.joints.map(({ name }, j) => ({
      joint: name,
      ...opening(j + 1, new GapCounts(at(joints, j)), at(linear.joints, j)),
    })),
  };
}

const TAIL = (1 - COVERAGE_PROBABILITY) / 2;

const quantilesOf = (counts: GapCounts): OpeningForecast["quantiles"] =>
  QUANTILES.map((p) => ({ p, ...quantileFrom(counts, p) }));

/** From the full blocks only: a shorter last one has a larger variance. */
function shortestErrors(rows: readonly (OutputSummary & { trials?: number })[]): Interval | null {
  const full = rows.filter(({ trials }) => trials === FORECAST_BLOCK);
  if (full.length < 2) return null;
  const [low, high] = blockErrors(full).shortest;
  return [low, high];
}
