import { availableParallelism } from "node:os";
import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import { MOST_SEED } from "../../core/numeric/random-stream.js";
import { MOST_POOL_THREADS, WorkerPool } from "../../core/threads/worker-pool.js";
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
import { type JobPosterior, jobPosterior } from "../job-posterior.js";
import {
  type OrderDifference,
  orderDifference,
  type TrimForecast,
  trimForecast,
  type WorstAtOnce,
  worstAtOnce,
} from "./cross-checks.js";
import { correctedToExact } from "./exact-correction.js";
import { type ForecastSources, forecastSources } from "./forecast-sources.js";
import { BUDGET_REPLICATES, budgetPoints, type GroupBudget, groupBudget } from "./group-budget.js";
import { judgeLinear, type LinearAnswer, type LinearVerdict, linearAnswers } from "./linear-answer.js";
import { effectiveCells, type ShopRange, simulateShops } from "./shop-range.js";
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
  QUANTILES,
  quantileFrom,
  WORTH_A_THREAD,
} from "./tally-blocks.js";

export const DEFAULT_FORECAST_TRIALS = 1_000_000;
export const MOST_FORECAST_TRIALS = 1_000_000_000;
/** Number of cells seated in both orders to estimate the error of the first order. */
export const BOTH_ORDERS = 16_384;
/** Number of blocks between two stability checks of an adaptive run. */
const BLOCKS_A_CHECK = 8;

/** Progress of a forecast. */
export interface ForecastProgress {
  readonly stage: "cells" | "orders" | "budget";
  /** Number of cells simulated so far in this stage, and their total number. */
  readonly done: number;
  readonly of: number;
  /** Cells per second so far, and remaining seconds at that rate; 0 before a rate is known. */
  readonly perSecond: number;
  readonly secondsLeft: number;
}

/** How many cells a forecast draws, how it seats them, and on how many threads. */
export interface ForecastOptions {
  /** Posterior of the job's sources, as the jigs stand or after moves; default: the prior that the job states, without readings. */
  readonly posterior?: JobPosterior;
  /** Number of cells drawn and seated, 100 … 10⁹, default 10⁶; `adaptive`: as many as a stable result needs (JCGM 101:2008, 7.9), at most 10⁷. */
  readonly trials?: number | "adaptive";
  /** Order of seating; default `first`, with {@link BOTH_ORDERS} cells in both orders. */
  readonly order?: Order;
  /** Seed, an integer 0 … 2⁵³ − 1, default 1: the same seed gives the same forecast. */
  readonly seed?: number;
  /** Maximum number of threads; default: the number of cores up to {@link MOST_THREADS}, or one if there is too little work. Results do not depend on it. */
  readonly threads?: number;
  /** Number of cells seated in both orders, 2 or more, or 0 for none; default {@link BOTH_ORDERS}. */
  readonly bothOrders?: number;
  /** Whether the budget and the worst case are computed; default true. */
  readonly budget?: boolean;
  /** Ends the computation early; the results so far are returned. */
  readonly signal?: AbortSignal;
  readonly onProgress?: (progress: ForecastProgress) => void;
}

/** Distribution of a joint's wider end, or of a cell's widest gap. */
export interface OpeningForecast {
  /** Chance of a gap beyond the gap limit, of a press beyond the snug limit (none where pieces are fitted by trial), of neither. */
  readonly beyondGap: Estimated;
  readonly beyondPress: Estimated;
  readonly closes: Estimated;
  /** Mean of the opening, mm; mean and standard deviation are accurate to 0.05 %. */
  readonly mean: number;
  readonly standardDeviation: number;
  /** Quantiles of the opening, mm, ≥ 0, at {@link QUANTILES}. */
  readonly quantiles: readonly (Estimated & { readonly p: number })[];
  /** Result of the law of propagation of uncertainty, and whether it agrees with the simulation. */
  readonly linear: LinearAnswer;
  readonly linearVerdict: LinearVerdict;
}

/**
 * The forecast of a whole cell: all its joints, front and back. If cells were seated in both orders, probabilities and quantiles are corrected to exact order; mean, standard deviation, shortest interval, and all results for
 * single joints are in the order of the forecast.
 */
export interface CellForecast extends OpeningForecast {
  /** Shortest 95 % interval of the widest gap, mm, and the standard error of its ends by their scatter over blocks; `null` below two blocks. */
  readonly shortest: Interval;
  readonly shortestErrors: Interval | null;
  /** Quantiles of the deepest press, mm, ≥ 0. */
  readonly pressQuantiles: readonly (Estimated & { readonly p: number })[];
}

/** Forecast of how the next cells will close; gaps in mm, > 0 open, probabilities from 0 to 1. */
export interface Forecast {
  readonly job: Job;
  /** The posterior that the forecast is computed from. */
  readonly posterior: JobPosterior;
  readonly sources: ForecastSources;
  readonly order: Order;
  /** Seed of every draw, an integer ≥ 0. */
  readonly seed: number;
  /** Number of cells that were seated. */
  readonly trials: number;
  /** `fixed`: the requested number of cells. `stable`, `not stable`: result of an adaptive run. `stopped`: ended early; parts that were not started are `null`. */
  readonly status: "fixed" | "stable" | "not stable" | "stopped";
  /** Tolerance for twice the standard errors, mm, in an adaptive run; otherwise `null`. */
  readonly tolerance: number | null;
  readonly cell: CellForecast;
  /** How the probability of closing varies between the shops that are compatible with the evidence; `null` if the computation ended early. */
  readonly shops: ShopRange | null;
  readonly joints: readonly (OpeningForecast & { readonly joint: string })[];
  /** Counts (histograms) of the widest gap and of the deepest press, mm, for charts. */
  readonly gapCounts: GapCounts;
  readonly pressCounts: GapCounts;
  /** Comparison of the two orders; `null` if all cells were seated in exact order or none in both. */
  readonly orders: OrderDifference | null;
  readonly budget: GroupBudget | null;
  /** The worst cell with every source off at once; `null` if no budget was requested, the computation ended early, or such a cell finds no equilibrium. */
  readonly atOnce: WorstAtOnce | null;
  /** If the job's pieces are fitted by trial: the trim of each group, in the order of fitting; otherwise `null`. */
  readonly trims: readonly TrimForecast[] | null;
  /** Number of groups of pieces, over all cells, that fit at no length within a quarter of their nominal length. */
  readonly unfitted: number;
}

/**
 * The distribution of the gaps of the job's next cells, by Monte Carlo over the uncertainty of all sources of error (JCGM 101:2008), and the contributions of the sources to it
 * (variance-based sensitivity indices). If pieces are fitted by trial, every cell is fitted first, from pieces that start long enough. It is not checked whether faces still meet.
 *
 * @throws UserError (code "forecast") for options out of range, or if no source of the job has any uncertainty.
 * @throws UserError (code "seating") when a trial finds no equilibrium.
 * @example
 * const { cell: forecast } = await forecastCells(job, { trials: 2000, seed: 1, threads: 1 });
 * forecast.closes.low < forecast.closes.value // true
 */
export async function forecastCells(job: Job, options: ForecastOptions = {}): Promise<Forecast> {
  const { trials = DEFAULT_FORECAST_TRIALS, order = "first", seed = 1, signal, onProgress } = options;
  const most = trials === "adaptive" ? DEFAULT_MOST_TRIALS : trials;
  requireWhole("number of trials", most, 100, MOST_FORECAST_TRIALS);
  requireWhole("seed", seed, 0, MOST_SEED);
  const threads =
    options.threads ?? (most < WORTH_A_THREAD ? 1 : Math.min(availableParallelism(), MOST_THREADS));
  requireWhole("number of threads", threads, 1, MOST_POOL_THREADS);
  const posterior = options.posterior ?? jobPosterior(job, [], { seed });
  const sources = forecastSources(job, posterior);
  if (sources.inputs.draws === 0)
    throw new UserError(
      "forecast",
      "There is nothing to simulate: at least one source of error must have a spread; in this job all are 0. Write for example scatter: { angle: 0.05 deg, length: 0.02 mm }.",
      { key: ["scatter"] },
    );
  const { pressRatio } = job;
  const limits = closingLimits(job);
  const seater = {
    order,
    pressRatio,
    ...(job.lengths === "fitted" && {
      fitting: { snug: job.limits.snug, startsLong: startsLong(posterior) },
    }),
  };
  const kernel = { ...seater, inputs: sources.inputs };
  const stopped = (): boolean => signal?.aborted ?? false;
  const pool: ForecastPool = new WorkerPool(
    {
      start: forecastBlocks,
      module: new URL("./tally-blocks.js", import.meta.url),
      task: { cell: sources.cell, kernel, draws: sources.draws, limits, trials: most, seed },
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
  const shops = stopped() ? null : simulateShops(sources, { limits, ...seater, seed, trials: done });
  const summed = summedUp(sources, limits.gap, pool.rows, counts, seater, shops);
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
    const points = budgetPoints(done);
    budget = await groupBudget(sources, { limits, ...seater, pressRatio, order, seed, points, onReplicate });
  }
  return {
    job,
    posterior,
    sources,
    order,
    seed,
    trials: done,
    ...run,
    ...summed,
    shops,
    orders,
    budget,
    atOnce,
    cell: orders === null ? summed.cell : correctedToExact(summed.cell, orders.shifts),
    unfitted: counts.unfitted,
    status: stopped() ? "stopped" : run.status,
  };
}

/** Whether pieces start long enough to be fitted. Without readings the lengths that the stops cut are unknown, so they do and the forecast is about the fit alone; with readings, pieces start as cut. */
export const startsLong = ({ basis }: Pick<JobPosterior, "basis">): boolean => basis.readings === 0;

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
  // Only complete blocks are compared with each other.
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
  shops: ShopRange | null,
): Pick<Forecast, "cell" | "joints" | "gapCounts" | "pressCounts" | "trims"> {
  const linear = linearAnswers(sources, gapLimit, seater);
  const opening = (row: number, counts: GapCounts, answer: LinearAnswer): OpeningForecast => {
    const { total, standardDeviation } = counts;
    const happened = (kind: number): number => at(beyond, BEYOND.kinds * row + kind);
    const chance = (cells: number): Estimated => {
      const worth = effectiveCells(total, sources, shops, cells / total);
      return chanceFrom((cells / total) * worth, worth);
    };
    const ends = [quantileFrom(counts, TAIL), quantileFrom(counts, 1 - TAIL)] as const;
    const doubt = Math.max(...ends.map(({ low, high }) => (high - low) / 2));
    return {
      beyondGap: chance(happened(BEYOND.gap)),
      beyondPress: chance(happened(BEYOND.press)),
      closes: chance(total - happened(BEYOND.either)),
      quantiles: quantilesOf(counts, sources, shops),
      mean: counts.mean,
      standardDeviation,
      linear: answer,
      linearVerdict: judgeLinear(answer, [ends[0].value, ends[1].value], standardDeviation, doubt),
    };
  };
  const gapCounts = new GapCounts(gap);
  const pressCounts = new GapCounts(press);
  return {
    gapCounts,
    pressCounts,
    trims: seater.fitting ? trimForecast(sources.reader.fittingPlan, trims) : null,
    cell: {
      ...opening(0, gapCounts, linear.cell),
      shortest: gapCounts.shortest(COVERAGE_PROBABILITY),
      shortestErrors: shortestErrors(rows),
      pressQuantiles: quantilesOf(pressCounts, sources, shops),
    },
    joints: sources.cell.joints.map(({ name }, j) => ({
      joint: name,
      ...opening(j + 1, new GapCounts(at(joints, j)), at(linear.joints, j)),
    })),
  };
}

const TAIL = (1 - COVERAGE_PROBABILITY) / 2;

/** The variation of quantiles between shops is assumed to be like that of the probability of closing. */
const quantilesOf = (
  counts: GapCounts,
  sources: ForecastSources,
  shops: ShopRange | null,
): OpeningForecast["quantiles"] =>
  QUANTILES.map((p) => ({
    p,
    ...quantileFrom(counts, p, effectiveCells(counts.total, sources, shops, p)),
  }));

/** Computed from complete blocks only: a shorter last block has a larger variance. */
function shortestErrors(rows: readonly (OutputSummary & { trials?: number })[]): Interval | null {
  const full = rows.filter(({ trials }) => trials === FORECAST_BLOCK);
  if (full.length < 2) return null;
  const [low, high] = blockErrors(full).shortest;
  return [low, high];
}
