import { at } from "../../core/numeric/dense.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import { createStreams, type RandomStream } from "../../core/numeric/random-stream.js";
import { binEdge, QUANTILE_ERROR, StreamingQuantiles } from "../../core/numeric/streaming-quantiles.js";
import type { BlockWork } from "../../core/threads/pool-thread.js";
import type { Cell } from "../../model/cell/cell.js";
import {
  type CellSeater,
  createSeater,
  FittedKernel,
  type SeaterOptions,
} from "../../physics/kernel/fitted-kernel.js";
import { cellModel } from "../../physics/predict/cell-model.js";
import { type Interval, type OutputSummary, summarise } from "../../uncertainty/monte-carlo-blocks.js";
import { CellDrawer, type CellDraws } from "./cell-drawer.js";

/** A run of fewer cells than this uses one thread: a further thread takes about a third of a second to start, build its kernel and warm up. */
export const WORTH_A_THREAD = 500_000;
/** Maximum number of threads unless more are requested: each takes about 30 MB, and a run of 10⁷ cells has to stay under 300 MB. */
export const MOST_THREADS = 4;

/** Number of trials that share a sub-stream of random numbers. It determines what a seed produces, so it must not be changed. */
export const BLOCK_TRIALS = 4096;
/** Number of sub-streams in a block: enough trials for an interval of its own (JCGM 101:2008, 7.9.4 b asks for 10⁴). */
const STREAMS_A_BLOCK = 3;
export const FORECAST_BLOCK = STREAMS_A_BLOCK * BLOCK_TRIALS;
export const COVERAGE_PROBABILITY = 0.95;
/** Shares of the cells at which quantiles are reported. */
export const QUANTILES = [0.05, 0.25, 0.5, 0.75, 0.95, 0.99] as const;

/** When a cell or a joint counts as failing, mm: a gap beyond `gap`, a press beyond `snug`. */
export interface ForecastLimits {
  readonly gap: number;
  readonly snug: number;
}

/** Summary of the widest gap over one block of trials, mm. */
export interface BlockRow extends OutputSummary {
  readonly index: number;
  readonly trials: number;
}

/** Counts over some blocks: integers, so that sums do not depend on the order. */
export interface ForecastCounts {
  /** Histograms of the widest gap and of the deepest press of the cells. */
  readonly gap: Uint32Array;
  readonly press: Uint32Array;
  /** Wider end of each joint, front or back, in the order of the cell's joints; a closed or pressed one counts as zero. */
  readonly joints: readonly Uint32Array[];
  /** For the cell, then for each joint: how often the gap, the press, and either is beyond its limit. */
  readonly beyond: Float64Array;
  /** If pieces are fitted by trial, one entry for each group of them; otherwise empty. */
  readonly trims: readonly TrimCounts[];
  /** Number of groups of pieces that could not be fitted; they keep the length at which the search ended. */
  readonly unfitted: number;
  readonly stragglers: number;
}

/** Lengths of one group as cut compared with those that fit. */
export interface TrimCounts {
  /** Histograms of the length by which pieces are too long and too short; in each, the others count as 0. */
  readonly off: Uint32Array;
  readonly missing: Uint32Array;
}

/** Indices into {@link ForecastCounts.beyond} for the cell and for each joint, and the number of kinds. */
export const BEYOND = { gap: 0, press: 1, either: 2, kinds: 3 } as const;

/** What a forecast simulates, as it is sent to a thread. */
export interface ForecastTask {
  readonly cell: Cell;
  readonly kernel: SeaterOptions;
  readonly draws: CellDraws;
  readonly limits: ForecastLimits;
  /** Maximum number of trials. */
  readonly trials: number;
  readonly seed: number;
}

/** The work of a forecast, for a worker pool. */
export const forecastBlocks = ({ cell, kernel, draws, limits, trials, seed }: ForecastTask): BlockTally =>
  new BlockTally(createSeater(cellModel(cell), kernel), limits, trials, seed, draws);

/** Draws, seats and counts blocks of trials; block k draws from its own sub-streams of the seed, whichever thread runs it. */
export class BlockTally implements BlockWork<BlockRow, ForecastCounts> {
  readonly #kernel: CellSeater;
  readonly #drawer: CellDrawer | null;
  readonly #limits: ForecastLimits;
  readonly #streams: readonly RandomStream[];
  readonly #trials: number;
  readonly #gap = new StreamingQuantiles();
  readonly #press = new StreamingQuantiles();
  readonly #joints: readonly StreamingQuantiles[];
  readonly #beyond: Float64Array;
  readonly #trims: readonly { readonly off: StreamingQuantiles; readonly missing: StreamingQuantiles }[];
  readonly #widestGap = new Float64Array(FORECAST_BLOCK);

  /**
   * @param trials maximum total number of trials: the last block ends there.
   * @param draws how they are drawn; all standard normal if omitted.
   */
  constructor(kernel: CellSeater, limits: ForecastLimits, trials: number, seed: number, draws?: CellDraws) {
    this.#kernel = kernel;
    this.#drawer = draws ? new CellDrawer(draws) : null;
    this.#limits = limits;
    this.#trials = trials;
    this.#streams = createStreams(seed, Math.ceil(trials / BLOCK_TRIALS));
    const { joints } = kernel.model.cell;
    this.#joints = joints.map(() => new StreamingQuantiles());
    this.#trims = (kernel instanceof FittedKernel ? kernel.steps : []).map(() => ({
      off: new StreamingQuantiles(),
      missing: new StreamingQuantiles(),
    }));
    this.#beyond = new Float64Array(BEYOND.kinds * (joints.length + 1));
  }

  total(): ForecastCounts {
    return {
      gap: this.#gap.counts,
      press: this.#press.counts,
      joints: this.#joints.map(({ counts }) => counts),
      beyond: this.#beyond,
      trims: this.#trims.map(({ off, missing }) => ({ off: off.counts, missing: missing.counts })),
      unfitted: this.#kernel instanceof FittedKernel ? this.#kernel.unfitted : 0,
      stragglers: this.#kernel.stragglers,
    };
  }

  /** @throws UserError (code "seating") when a trial finds no equilibrium. */
  work(index: number): BlockRow {
    const trials = Math.min(FORECAST_BLOCK, this.#trials - index * FORECAST_BLOCK);
    for (let done = 0; done < trials; done += BLOCK_TRIALS) {
      const stream = at(this.#streams, STREAMS_A_BLOCK * index + done / BLOCK_TRIALS);
      this.#seat(stream, Math.min(BLOCK_TRIALS, trials - done), done, index * FORECAST_BLOCK);
    }
    const values = trials < FORECAST_BLOCK ? this.#widestGap.slice(0, trials) : this.#widestGap;
    return { index, trials, ...summaryOf(values) };
  }

  #seat(stream: RandomStream, count: number, place: number, before: number): void {
    const kernel = this.#kernel;
    const drawer = this.#drawer;
    const { readProbes } = kernel.model;
    for (let start = 0; start < count; start += kernel.batchTrials) {
      const batch = Math.min(kernel.batchTrials, count - start);
      for (let trial = 0; trial < batch; trial++) {
        const own = kernel.drawsOf(trial);
        if (drawer) drawer.draw(stream, before + place + start + trial, own);
        else stream.fill(own);
      }
      kernel.seat(batch);
      for (let trial = 0; trial < batch; trial++) {
        const [gap, press] = [kernel.widestGap(trial), kernel.deepestPress(trial)];
        this.#widestGap[place + start + trial] = gap;
        this.#gap.add(gap);
        this.#press.add(press);
        this.#judge(0, gap, press);
        if (kernel instanceof FittedKernel) this.#measure(kernel, trial);
        const joints = this.#joints.length;
        for (let joint = 0; joint < joints; joint++) {
          let [open, tight] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
          // Toe and heel; if cuts may lean, first both at the front, then both at the back.
          for (let probe = 2 * joint; probe < readProbes; probe += 2 * joints) {
            const toe = kernel.gap(trial, probe);
            const heel = kernel.gap(trial, probe + 1);
            open = Math.max(open, toe, heel);
            tight = Math.max(tight, -toe, -heel);
          }
          this.#joints[joint]!.add(Math.max(open, 0));
          this.#judge(joint + 1, open, tight);
        }
      }
    }
  }

  #measure(kernel: FittedKernel, trial: number): void {
    for (const [group, { off, missing }] of this.#trims.entries()) {
      const wanted = kernel.wanted(trial, group);
      off.add(Math.max(0, -wanted));
      missing.add(Math.max(0, wanted));
    }
  }

  #judge(row: number, gap: number, press: number): void {
    const first = BEYOND.kinds * row;
    const [open, tight] = [gap > this.#limits.gap, press > this.#limits.snug];
    if (open) this.#beyond[first + BEYOND.gap]!++;
    if (tight) this.#beyond[first + BEYOND.press]!++;
    if (open || tight) this.#beyond[first + BEYOND.either]!++;
  }
}

/** With fewer trials than this no interval is computed. */
const FEWEST = 100;

function summaryOf(values: Float64Array): OutputSummary {
  if (values.length >= FEWEST) return summarise(values, COVERAGE_PROBABILITY);
  const none = [Number.NaN, Number.NaN] as const;
  return { estimate: Number.NaN, standardUncertainty: Number.NaN, symmetric: none, shortest: none };
}

export function mergeCounts(parts: readonly ForecastCounts[]): ForecastCounts {
  const first = at(parts, 0);
  const added = (pick: (part: ForecastCounts) => Uint32Array): Uint32Array => {
    const sum = new StreamingQuantiles();
    for (const part of parts) sum.merge(pick(part));
    return sum.counts;
  };
  return {
    gap: added(({ gap }) => gap),
    press: added(({ press }) => press),
    joints: first.joints.map((_, j) => added(({ joints }) => at(joints, j))),
    trims: first.trims.map((_, g) => ({
      off: added(({ trims }) => at(trims, g).off),
      missing: added(({ trims }) => at(trims, g).missing),
    })),
    beyond: first.beyond.map((_, k) => parts.reduce((sum, { beyond }) => sum + at(beyond, k), 0)),
    unfitted: parts.reduce((sum, { unfitted }) => sum + unfitted, 0),
    stragglers: parts.reduce((sum, { stragglers }) => sum + stragglers, 0),
  };
}

/**
 * Statistics of many lengths ≥ 0 (mm) from a histogram with bins 0.1 % wide (`StreamingQuantiles`): every result has a relative error of at most `QUANTILE_ERROR` (0.05 %), in addition to
 * the sampling error. Integer counts sum to the same total in any order, so the results do not depend on which thread counted.
 */
export class GapCounts {
  readonly total: number;
  readonly #bins: number[] = [];
  /** Cumulative counts: number of values in all bins up to each one. */
  readonly #below: number[] = [];

  constructor(counts: Uint32Array) {
    let below = 0;
    for (const [bin, count] of counts.entries()) {
      if (count === 0) continue;
      below += count;
      this.#bins.push(bin);
      this.#below.push(below);
    }
    this.total = below;
  }

  static merged(parts: readonly Uint32Array[]): GapCounts {
    const all = new StreamingQuantiles();
    for (const part of parts) all.merge(part);
    return new GapCounts(all.counts);
  }

  /** The value with rank r of all (1 … total), mm. */
  ranked(r: number): number {
    const rank = Math.min(Math.max(Math.ceil(r), 1), this.total);
    let [low, high] = [0, this.#below.length - 1];
    while (low < high) {
      const middle = (low + high) >> 1;
      if (at(this.#below, middle) >= rank) high = middle;
      else low = middle + 1;
    }
    return middleOf(at(this.#bins, low));
  }

  /** The value that the share p (0 … 1) of all does not exceed, mm. */
  quantile(p: number): number {
    return this.ranked(p * this.total);
  }

  /** Share of the values up to one, mm. */
  shareUpTo(value: number): number {
    let share = 0;
    for (const [k, bin] of this.#bins.entries()) {
      if (middleOf(bin) > value) break;
      share = at(this.#below, k) / this.total;
    }
    return share;
  }

  get mean(): number {
    return this.#sum((value) => value) / this.total;
  }

  get standardDeviation(): number {
    const mean = this.mean;
    return Math.sqrt(this.#sum((value) => (value - mean) ** 2) / Math.max(1, this.total - 1));
  }

  /** Shortest interval that holds the share p of all, to half a bin at each end; of equally short ones the lowest. */
  shortest(p: number): Interval {
    const wanted = Math.ceil(p * this.total);
    let best: Interval = [0, Number.POSITIVE_INFINITY];
    for (let low = 0, high = 0; high < this.#bins.length; low++) {
      const before = low === 0 ? 0 : at(this.#below, low - 1);
      while (high < this.#bins.length && at(this.#below, high) - before < wanted) high++;
      if (high === this.#bins.length) break;
      const [from, to] = [middleOf(at(this.#bins, low)), middleOf(at(this.#bins, high))];
      if (to - from < best[1] - best[0]) best = [from, to];
    }
    return best;
  }

  #sum(of: (value: number) => number): number {
    let sum = 0;
    let before = 0;
    for (const [k, bin] of this.#bins.entries()) {
      const below = at(this.#below, k);
      sum += (below - before) * of(middleOf(bin));
      before = below;
    }
    return sum;
  }
}

const middleOf = (bin: number): number => (bin === 0 ? 0 : (binEdge(bin) + binEdge(bin + 1)) / 2);

/** Confidence level of all bounds on the simulation error. */
export const CONFIDENCE = 0.95;

export const Z = normalQuantile((1 + CONFIDENCE) / 2);

/** An estimate from simulated cells, with 95 % bounds for the value that infinitely many cells would give. */
export interface Estimated {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** A probability estimated from a count of events; bounds by the score interval (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927), which is valid also for a count of zero. */
export function chanceFrom(happened: number, trials: number): Estimated {
  const value = happened / trials;
  const share = Z ** 2 / trials;
  const centre = (value + share / 2) / (1 + share);
  const margin = (Z / (1 + share)) * Math.sqrt((value * (1 - value)) / trials + share / trials / 4);
  return {
    value,
    low: happened === 0 ? 0 : centre - margin,
    high: happened === trials ? 1 : centre + margin,
  };
}

/**
 * A quantile, mm, with bounds from the ranks between which it lies (binomial, approximated as normal), widened by half a counting bin.
 *
 * @param worth effective sample size of the counted values; default all of them.
 */
export function quantileFrom(counts: GapCounts, p: number, worth = counts.total): Estimated {
  const { total } = counts;
  const margin = Z * total * Math.sqrt((p * (1 - p)) / worth);
  return {
    value: counts.quantile(p),
    low: counts.ranked(p * total - margin) * (1 - QUANTILE_ERROR),
    high: counts.ranked(p * total + margin + 1) * (1 + QUANTILE_ERROR),
  };
}
