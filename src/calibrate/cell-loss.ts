import { closingLimits } from "../job/closing-limits.js";
import type { Job } from "../job/job.js";
import type { Outcome } from "./cell-forecast.js";

const MOST_TIGHT = 5;
const MOST_GAPS = 3;

/**
 * Loss of each cell of the outcome, times the cells of the batch, in scrapped pieces. Where pieces are fitted by trial, trimming is part of the work and no cell is too tight:
 * what is lost are pieces too short to close their gaps, and gaps that no trimming closes.
 */
export function cellLosses(
  { worstGap, worstPress }: Outcome,
  { limits, costs, lengths }: Pick<Job, "limits" | "costs" | "lengths">,
): Float64Array {
  const snug = closingLimits({ limits, lengths }).snug;
  return worstGap.map((gap, i) => {
    const gaps = Math.min(gap / limits.gap, MOST_GAPS);
    const tight = Math.min(worstPress[i]! / snug, MOST_TIGHT);
    const open = (gaps > 1 ? costs.openCell : 0) + costs.gap * gaps;
    return costs.cells * (open + (tight > 1 ? costs.tightCell * tight : 0));
  });
}

export const meanOf = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / values.length;
