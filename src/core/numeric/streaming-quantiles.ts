/** Bins for each doubling of the value: a quantile is accurate to half a bin, 1/2048 of its value (0.05 %). */
const BINS_A_DOUBLING = 1024;
export const QUANTILE_ERROR = 1 / (2 * BINS_A_DOUBLING);

/** Range of the bins, mm: smaller values count as zero, larger ones fall into the last bin. */
const SMALLEST = 2 ** -40;
const DOUBLINGS = 60;
const BINS = DOUBLINGS * BINS_A_DOUBLING + 1;

const number = new Float64Array(1);
const words = new Uint32Array(number.buffer);
const HIGH = new Uint8Array(Uint32Array.of(1).buffer)[0] === 1 ? 1 : 0;

/** The top 21 bits of a positive double without its sign: the exponent and the ten leading bits of the mantissa. They increase with the value, by one for each bin. */
function leadingBits(value: number): number {
  number[0] = value;
  return words[HIGH]! >>> 10;
}

const FIRST = leadingBits(SMALLEST);

/**
 * Counts of values ≥ 0 in bins that widen with the value. Memory (250 kB) does not grow with the number of values, and the counts do not depend on the order of adding.
 */
export class StreamingQuantiles {
  readonly counts = new Uint32Array(BINS);

  add(value: number): void {
    const bin = value < SMALLEST ? 0 : Math.min(leadingBits(value) - FIRST + 1, BINS - 1);
    this.counts[bin]!++;
  }

  /** Adds the counts of another object. */
  merge(counts: Uint32Array): void {
    for (let bin = 0; bin < BINS; bin++) this.counts[bin]! += counts[bin]!;
  }

  /**
   * The p-quantile: the smallest value that at least the share `p` of all values does not exceed, with the relative error {@link QUANTILE_ERROR}; below 10⁻¹² mm it is 0. NaN when there are no values.
   *
   * @param p 0 < p ≤ 1.
   */
  quantile(p: number): number {
    const total = this.counts.reduce((sum, count) => sum + count, 0);
    const wanted = Math.ceil(p * total);
    let below = 0;
    for (let bin = 0; bin < BINS; bin++) {
      below += this.counts[bin]!;
      if (below >= wanted && below > 0) return bin === 0 ? 0 : (binEdge(bin) + binEdge(bin + 1)) / 2;
    }
    return Number.NaN;
  }
}

/** Lower edge of a bin ≥ 1, mm: bins of one doubling are equally wide; bin 0 holds what counts as zero. */
export function binEdge(bin: number): number {
  const doubling = Math.floor((bin - 1) / BINS_A_DOUBLING);
  const place = (bin - 1) % BINS_A_DOUBLING;
  return SMALLEST * 2 ** doubling * (1 + place / BINS_A_DOUBLING);
}
