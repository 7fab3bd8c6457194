import { normalCdf } from "../numeric/normal-cdf.js";
import type { Instrument } from "../readings/instrument.js";

/** An instrument with nothing stated repeats no better than this, mm or rad. */
const LEAST_SCATTER = 1e-6;
/** A value is told apart in at most this many steps: finer ones tell no more. */
const MOST_STEPS = 200;
const REACH = 4;

/**
 * Expected information, bits, that one reading gives about which of two hypotheses is true: Σ over outcomes of the mutual information
 * (T. M. Cover and J. A. Thomas, Elements of Information Theory, 2nd ed. 2006, eq. 2.28). Outcomes are the stretches between an instrument's leaves, or its steps.
 *
 * @param first what it would show under the first hypothesis, before the instrument's scatter, as equally likely draws; `second` likewise.
 * @param share probability of the first, 0 to 1; default ½.
 */
export function informationBetween(
  instrument: Pick<Instrument, "leaves" | "resolution" | "repeatability">,
  first: Float64Array,
  second: Float64Array,
  share = 0.5,
): number {
  const scatter = Math.max(instrument.repeatability, LEAST_SCATTER);
  const edges = outcomeEdges(instrument, [...first, ...second], scatter);
  const a = outcomes(first, edges, scatter);
  const b = outcomes(second, edges, scatter);
  let bits = 0;
  for (const [k, p] of a.entries()) {
    const q = b[k]!;
    const either = share * p + (1 - share) * q;
    if (p > 0) bits += share * p * Math.log2(p / either);
    if (q > 0) bits += (1 - share) * q * Math.log2(q / either);
  }
  return Math.max(0, bits);
}

function outcomeEdges(
  { leaves, resolution }: Pick<Instrument, "leaves" | "resolution">,
  values: readonly number[],
  scatter: number,
): number[] {
  if (leaves.length > 0) return [...leaves];
  const low = Math.min(...values) - REACH * scatter;
  const high = Math.max(...values) + REACH * scatter;
  const step = Math.max(resolution ?? 0, (high - low) / MOST_STEPS);
  const from = Math.floor(low / step);
  return Array.from({ length: Math.ceil(high / step) - from + 1 }, (_, i) => (from + i + 0.5) * step);
}

/** Probability of each stretch between the edges and beyond both ends. */
function outcomes(values: Float64Array, edges: readonly number[], scatter: number): Float64Array {
  const below = Float64Array.from(edges, (edge) => {
    let sum = 0;
    for (const value of values) sum += normalCdf((edge - value) / scatter);
    return sum / values.length;
  });
  return Float64Array.from({ length: edges.length + 1 }, (_, k) => (below[k] ?? 1) - (below[k - 1] ?? 0));
}
