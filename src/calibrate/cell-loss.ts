import type { Job } from "../job/job.js";
import type { Outcome } from "./cell-forecast.js";

const MOST_TIGHT = 5;
const MOST_GAPS = 3;

/** Loss of each cell of the outcome, times the cells of the batch, in scrapped pieces. */
export function cellLosses({ worstGap, worstPress }: Outcome, { limits, costs }: Job): Float64Array {
  return worstGap.map((gap, i) => {
    const gaps = Math.min(gap / limits.gap, MOST_GAPS);
    const tight = Math.min(worstPress[i]! / limits.snug, MOST_TIGHT);
    const open = (gaps > 1 ? costs.openCell : 0) + costs.gap * gaps;
    return costs.cells * (open + (tight > 1 ? costs.tightCell * tight : 0));
  });
}

export const meanOf = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / values.length;
