import { binEdge, StreamingQuantiles } from "../kernel/trials/streaming-quantiles.js";
import type { Interval } from "../propagate/coverage-interval.js";

/**
 * Questions on many lengths ≥ 0 that were only counted, in bins 0.1 % wide (`StreamingQuantiles`): every answer is good to `QUANTILE_ERROR` (0.05 %) of itself, beside
 * the chance of the draw. Whole counts add up the same in any order, so the answers do not depend on who counted.
 */
export class GapCounts {
  readonly total: number;
  readonly #bins: number[] = [];
  /** How many values lie in the bins up to each. */
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
      if (this.#below[middle]! >= rank) high = middle;
      else low = middle + 1;
    }
    return middleOf(this.#bins[low]!);
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
      share = this.#below[k]! / this.total;
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
      const before = low === 0 ? 0 : this.#below[low - 1]!;
      while (high < this.#bins.length && this.#below[high]! - before < wanted) high++;
      if (high === this.#bins.length) break;
      const [from, to] = [middleOf(this.#bins[low]!), middleOf(this.#bins[high]!)];
      if (to - from < best[1] - best[0]) best = [from, to];
    }
    return best;
  }

  #sum(of: (value: number) => number): number {
    let sum = 0;
    let before = 0;
    for (const [k, bin] of this.#bins.entries()) {
      sum += (this.#below[k]! - before) * of(middleOf(bin));
      before = this.#below[k]!;
    }
    return sum;
  }
}

const middleOf = (bin: number): number => (bin === 0 ? 0 : (binEdge(bin) + binEdge(bin + 1)) / 2);
