/** Bins for each doubling of the value: a quantile is known to half a bin, that is to 1/2048 of itself (0.05 %). */
const BINS_A_DOUBLING = 1024;
export const QUANTILE_ERROR = 1 / (2 * BINS_A_DOUBLING);

/** Values below the first are counted as zero, those beyond the last in the last bin; mm. */
const SMALLEST = 2 ** -40;
const DOUBLINGS = 60;
const BINS = DOUBLINGS * BINS_A_DOUBLING + 1;

const number = new Float64Array(1);
const words = new Uint32Array(number.buffer);
const HIGH = new Uint8Array(Uint32Array.of(1).buffer)[0] === 1 ? 1 : 0;

/** The top 21 bits of a positive double, less its sign: exponent and the ten leading bits of the mantissa. They rise with the value, by one a bin. */
function leadingBits(value: number): number {
  number[0] = value;
  return words[HIGH]! >>> 10;
}

const FIRST = leadingBits(SMALLEST);

/**
 * Counts of values ≥ 0 in bins that widen with the value, in memory that does not grow with their number (250 kB). Counts of whole numbers add up the same in any order.
 */
export class StreamingQuantiles {
  readonly counts = new Uint32Array(BINS);

  add(value: number): void {
    const bin = value < SMALLEST ? 0 : Math.min(leadingBits(value) - FIRST + 1, BINS - 1);
    this.counts[bin]!++;
  }

  /** Adds the counts of others. */
  merge(counts: Uint32Array): void {
    for (let bin = 0; bin < BINS; bin++) this.counts[bin]! += counts[bin]!;
  }

  /**
   * The smallest value that at least the share `p` of all values does not exceed, to {@link QUANTILE_ERROR} of itself; below 10⁻¹² mm it is 0. Not a number when there are none.
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
