import type { CellSeater } from "../kernel/fitted/create-seater.js";
import { FittedKernel } from "../kernel/fitted/fitted-kernel.js";
import { BLOCK_TRIALS } from "../kernel/trials/for-each-block.js";
import { StreamingQuantiles } from "../kernel/trials/streaming-quantiles.js";
import { createStreams, type RandomStream } from "../numeric/random-stream.js";
import { type OutputSummary, summarise } from "../propagate/monte-carlo-blocks.js";

/** Sub-streams of random numbers that make a block: enough trials for an interval of its own (JCGM 101:2008, 7.9.4 b asks for 10⁴). */
const STREAMS_A_BLOCK = 3;
export const OUTLOOK_BLOCK = STREAMS_A_BLOCK * BLOCK_TRIALS;
export const COVERAGE_PROBABILITY = 0.95;

/** When a cell or a joint counts as failing, mm: a gap beyond `gap`, a press beyond `snug`. */
export interface OutlookLimits {
  readonly gap: number;
  readonly snug: number;
}

/** What one block of trials says of the worst gap, mm. */
export interface BlockRow extends OutputSummary {
  readonly index: number;
  readonly trials: number;
}

/** Everything counted over some blocks; whole numbers, so that they add up the same in any order. */
export interface OutlookCounts {
  /** Worst gap and worst press of the cells. */
  readonly gap: Uint32Array;
  readonly press: Uint32Array;
  /** Wider end of each joint, front or back, in the order of the cell's joints; a closed or pressed one counts as zero. */
  readonly joints: readonly Uint32Array[];
  /** For the cell, then for each joint: how often the gap, the press, and either is beyond its limit. */
  readonly beyond: Float64Array;
  /** Where pieces are fitted by trial, one for each group of them; else empty. */
  readonly trims: readonly TrimCounts[];
  /** Groups of pieces that could not be fitted: left at the end of the search. */
  readonly unfitted: number;
  readonly stragglers: number;
}

/** How the lengths of one group as cut stand to those that fit. */
export interface TrimCounts {
  /** By how much the pieces are too long, or too short; 0 counts for the others. */
  readonly off: Uint32Array;
  readonly missing: Uint32Array;
}

/** Numbers of {@link OutlookCounts.beyond} for the cell and for each joint. */
export const BEYOND = { gap: 0, press: 1, either: 2, kinds: 3 } as const;

/** Draws, seats and counts blocks of trials; block k draws from its own sub-streams of the seed, whoever works on it and when. */
export class BlockTally {
  readonly #kernel: CellSeater;
  readonly #limits: OutlookLimits;
  readonly #streams: readonly RandomStream[];
  readonly #trials: number;
  readonly #gap = new StreamingQuantiles();
  readonly #press = new StreamingQuantiles();
  readonly #joints: readonly StreamingQuantiles[];
  readonly #beyond: Float64Array;
  readonly #trims: readonly { readonly off: StreamingQuantiles; readonly missing: StreamingQuantiles }[];
  readonly #worstGap = new Float64Array(OUTLOOK_BLOCK);

  /** @param trials how many there may be in all: the last block is cut short there. */
  constructor(kernel: CellSeater, limits: OutlookLimits, trials: number, seed: number) {
    this.#kernel = kernel;
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

  get counts(): OutlookCounts {
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

  /** @throws SeatingError when a trial finds no rest. */
  work(index: number): BlockRow {
    const trials = Math.min(OUTLOOK_BLOCK, this.#trials - index * OUTLOOK_BLOCK);
    for (let done = 0; done < trials; done += BLOCK_TRIALS) {
      const stream = this.#streams[STREAMS_A_BLOCK * index + done / BLOCK_TRIALS]!;
      this.#seat(stream, Math.min(BLOCK_TRIALS, trials - done), done);
    }
    const values = trials < OUTLOOK_BLOCK ? this.#worstGap.slice(0, trials) : this.#worstGap;
    return { index, trials, ...summaryOf(values) };
  }

  #seat(stream: RandomStream, count: number, place: number): void {
    const kernel = this.#kernel;
    const { readProbes } = kernel.model;
    for (let start = 0; start < count; start += kernel.batchTrials) {
      const batch = Math.min(kernel.batchTrials, count - start);
      for (let trial = 0; trial < batch; trial++) stream.fill(kernel.drawsOf(trial));
      kernel.seat(batch);
      for (let trial = 0; trial < batch; trial++) {
        const [gap, press] = [kernel.worstGap(trial), kernel.worstPress(trial)];
        this.#worstGap[place + start + trial] = gap;
        this.#gap.add(gap);
        this.#press.add(press);
        this.#judge(0, gap, press);
        if (kernel instanceof FittedKernel) this.#measure(kernel, trial);
        const joints = this.#joints.length;
        for (let joint = 0; joint < joints; joint++) {
          let [open, tight] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
          // Toe and heel; where cuts may lean at the front, then both at the back.
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
    const at = BEYOND.kinds * row;
    const [open, tight] = [gap > this.#limits.gap, press > this.#limits.snug];
    if (open) this.#beyond[at + BEYOND.gap]!++;
    if (tight) this.#beyond[at + BEYOND.press]!++;
    if (open || tight) this.#beyond[at + BEYOND.either]!++;
  }
}

/** Too few trials for an interval have none. */
const FEWEST = 100;

function summaryOf(values: Float64Array): OutputSummary {
  if (values.length >= FEWEST) return summarise(values, COVERAGE_PROBABILITY);
  const none = [Number.NaN, Number.NaN] as const;
  return { estimate: Number.NaN, standardUncertainty: Number.NaN, symmetric: none, shortest: none };
}

export function mergeCounts(parts: readonly OutlookCounts[]): OutlookCounts {
  const [first] = parts;
  const added = (pick: (part: OutlookCounts) => Uint32Array): Uint32Array => {
    const sum = new StreamingQuantiles();
    for (const part of parts) sum.merge(pick(part));
    return sum.counts;
  };
  return {
    gap: added(({ gap }) => gap),
    press: added(({ press }) => press),
    joints: first!.joints.map((_, j) => added(({ joints }) => joints[j]!)),
    trims: first!.trims.map((_, g) => ({
      off: added(({ trims }) => trims[g]!.off),
      missing: added(({ trims }) => trims[g]!.missing),
    })),
    beyond: first!.beyond.map((_, k) => parts.reduce((sum, { beyond }) => sum + beyond[k]!, 0)),
    unfitted: parts.reduce((sum, { unfitted }) => sum + unfitted, 0),
    stragglers: parts.reduce((sum, { stragglers }) => sum + stragglers, 0),
  };
}
