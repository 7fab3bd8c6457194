import type { Job } from "../job/job.js";
import type { Outcome } from "./cell-forecast.js";

/**
 * What goes wrong, in the worth of one scrapped piece. Not symmetric: a piece too long can be trimmed, one too short is scrap.
 * Common practice, no source: the figures are a starting point.
 */
export const COSTS = {
  /** A cell with a gap over the limit: a piece is made anew. */
  openCell: 1,
  /** A cell too tight to close by hand, for each snug limit that it is pressed beyond (up to five): trimming. */
  tightCell: 0.1,
  /** A gap, for each gap limit it is wide (up to three): looks. */
  gap: 0.1,
  /** Touching one adjuster. */
  adjusting: 0.5,
  /** Cutting and measuring one more trial piece. */
  trial: 1,
  /** Cells that the settings will be used for. */
  cells: 20,
} as const;

export type Costs = { readonly [key in keyof typeof COSTS]: number };

const MOST_TIGHT = 5;
const MOST_GAPS = 3;

/** Loss of each cell of the outcome, times the cells of the batch, in scrapped pieces. */
export function cellLosses(
  { worstGap, worstPress }: Outcome,
  { limits }: Job,
  costs: Costs = COSTS,
): Float64Array {
  return worstGap.map((gap, i) => {
    const gaps = Math.min(gap / limits.gap, MOST_GAPS);
    const tight = Math.min(worstPress[i]! / limits.snug, MOST_TIGHT);
    const open = (gaps > 1 ? costs.openCell : 0) + costs.gap * gaps;
    return costs.cells * (open + (tight > 1 ? costs.tightCell * tight : 0));
  });
}

export const meanOf = (values: Float64Array): number => values.reduce((sum, x) => sum + x, 0) / values.length;
