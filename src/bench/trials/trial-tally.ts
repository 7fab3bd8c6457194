import type { SeatingKernel } from "../../kernel/create-kernel.js";
import {
  BLOCK_TRIALS,
  type BlockOptions,
  blocksOf,
  forEachBlock,
  type TrialBlock,
} from "../../kernel/trials/for-each-block.js";
import { StreamingQuantiles } from "../../kernel/trials/streaming-quantiles.js";

/** When a cell counts as closing, mm. */
export interface ClosingLimits {
  /** Worst gap at most this … */
  readonly gap: number;
  /** … and worst press at most this. */
  readonly press: number;
}

/** Numbers kept for each block, in this order: sums, sums of squares, smallest and largest of worst gap and worst press, and how many trials close. */
const KEPT = 9;

/** What one thread has found out about the blocks it worked on; can be sent to another. */
export interface TrialTally {
  /** Indices of the blocks, and {@link KEPT} numbers for each. */
  readonly blocks: number[];
  readonly kept: Float64Array;
  readonly gapCounts: Uint32Array;
  readonly pressCounts: Uint32Array;
  readonly stragglers: number;
}

/** Where every trial's worst gap and worst press go when they are to be kept. */
export interface KeptValues {
  readonly worstGap: Float64Array;
  readonly worstPress: Float64Array;
}

/** Works on blocks until none is left. */
export function tallyTrials(
  kernel: SeatingKernel,
  options: BlockOptions,
  limits: ClosingLimits,
  values: KeptValues | null,
): TrialTally {
  const gaps = new StreamingQuantiles();
  const presses = new StreamingQuantiles();
  const blocks: number[] = [];
  const kept = new Float64Array(KEPT * blocksOf(options.trials));
  const before = kernel.stragglers;
  forEachBlock(kernel, options, (block) => {
    const { start, count, worstGap, worstPress } = block;
    for (let i = 0; i < count; i++) {
      gaps.add(worstGap[i]!);
      presses.add(worstPress[i]!);
    }
    kept.set(sumsOf(block, limits), KEPT * blocks.length);
    blocks.push(block.index);
    values?.worstGap.set(count < BLOCK_TRIALS ? worstGap.subarray(0, count) : worstGap, start);
    values?.worstPress.set(count < BLOCK_TRIALS ? worstPress.subarray(0, count) : worstPress, start);
  });
  return {
    blocks,
    kept: kept.slice(0, KEPT * blocks.length),
    gapCounts: gaps.counts,
    pressCounts: presses.counts,
    stragglers: kernel.stragglers - before,
  };
}

function sumsOf({ count, worstGap, worstPress }: TrialBlock, limits: ClosingLimits): number[] {
  let closing = 0;
  for (let i = 0; i < count; i++) {
    if (worstGap[i]! <= limits.gap && worstPress[i]! <= limits.press) closing++;
  }
  return [...momentsOf(worstGap, count), ...momentsOf(worstPress, count), closing];
}

function momentsOf(values: Float64Array, count: number): [number, number, number, number] {
  let [sum, squares, smallest, largest] = [0, 0, Number.POSITIVE_INFINITY, 0];
  for (let i = 0; i < count; i++) {
    const value = values[i]!;
    sum += value;
    squares += value * value;
    if (value < smallest) smallest = value;
    if (value > largest) largest = value;
  }
  return [sum, squares, smallest, largest];
}

/** How a worst gap, or a worst press, spreads over all trials, mm. */
export interface Spread {
  readonly mean: number;
  readonly standardDeviation: number;
  readonly smallest: number;
  readonly largest: number;
  /** The value that the share `p` (0 < p ≤ 1) of the trials does not exceed, to `QUANTILE_ERROR` (0.05 %) of itself. */
  quantile(p: number): number;
}

export interface MergedTallies {
  readonly worstGap: Spread;
  readonly worstPress: Spread;
  /** Trials that close. */
  readonly closing: number;
  readonly stragglers: number;
}

/** Puts tallies together in the order of the blocks, so that who worked on which does not matter. */
export function mergeTallies(tallies: readonly TrialTally[], trials: number): MergedTallies {
  const rows = tallies
    .flatMap(({ blocks, kept }) =>
      blocks.map((index, k) => ({ index, row: kept.subarray(KEPT * k, KEPT * (k + 1)) })),
    )
    .sort((a, b) => a.index - b.index)
    .map(({ row }) => row);
  const spread = (from: number, counts: readonly Uint32Array[]): Spread => {
    const quantiles = new StreamingQuantiles();
    counts.forEach((own) => {
      quantiles.merge(own);
    });
    const sum = (k: number) => rows.reduce((total, row) => total + row[from + k]!, 0);
    const mean = sum(0) / trials;
    const variance = trials > 1 ? (sum(1) - trials * mean * mean) / (trials - 1) : 0;
    return {
      mean,
      standardDeviation: Math.sqrt(Math.max(0, variance)),
      smallest: rows.reduce((least, row) => Math.min(least, row[from + 2]!), Number.POSITIVE_INFINITY),
      largest: rows.reduce((most, row) => Math.max(most, row[from + 3]!), 0),
      quantile: (p) => quantiles.quantile(p),
    };
  };
  return {
    worstGap: spread(
      0,
      tallies.map(({ gapCounts }) => gapCounts),
    ),
    worstPress: spread(
      4,
      tallies.map(({ pressCounts }) => pressCounts),
    ),
    closing: rows.reduce((total, row) => total + row[8]!, 0),
    stragglers: tallies.reduce((total, { stragglers }) => total + stragglers, 0),
  };
}
