import { binomialBounds } from "./binomial-bounds.js";
import type { JudgedAdvice } from "./judge-advice.js";
import type { Met } from "./source-line.js";

/** Most wrong moves where no true move is worth its cost. */
export const MOST_WRONG = 0.05;
const CONFIDENCE = 0.95;

/** How the advice of one world did. */
export interface AdviceLine {
  readonly world: string;
  /** Data sets whose advice was judged, and how many of them it moved anything in. */
  readonly asked: number;
  readonly adjusted: number;
  /** Of those, after which the true loss with the cost of adjusting was higher than before. */
  readonly wrong: number;
  /** Mean true loss before, and after with its cost, in scrapped pieces over the batch. */
  readonly before: number;
  readonly after: number;
  /** The same as the fits expected them. */
  readonly expectedBefore: number;
  readonly expectedAfter: number;
  /** Adjusters of which no setting was truly worth its cost, and how many of them the advice moved, with 95 % bounds of the share. */
  readonly notWorth: number;
  readonly movedInVain: number;
  readonly bounds: readonly [number, number];
  /** Adjusters of all data sets told to measure first. */
  readonly measureFirst: number;
  readonly adjusters: number;
  readonly met: Met;
}

export function adviceLine(world: string, all: readonly JudgedAdvice[], cost: number): AdviceLine {
  const moved = all.filter(({ adjusted }) => adjusted);
  const adjusters = all.flatMap((one) => one.adjusters);
  const vain = adjusters.filter(({ worth }) => worth <= cost);
  const movedInVain = vain.filter(({ adjusted }) => adjusted).length;
  const bounds = binomialBounds(movedInVain, vain.length, CONFIDENCE);
  const mean = (of: (one: JudgedAdvice) => number): number =>
    all.reduce((sum, one) => sum + of(one), 0) / all.length;
  return {
    ...{ world, asked: all.length, adjusted: moved.length, bounds, movedInVain },
    wrong: moved.filter(({ before, after }) => after > before).length,
    before: mean(({ before }) => before),
    after: mean(({ after }) => after),
    expectedBefore: mean((one) => one.expectedBefore),
    expectedAfter: mean((one) => one.expectedAfter),
    notWorth: vain.length,
    measureFirst: adjusters.filter(({ measureFirst }) => measureFirst).length,
    adjusters: adjusters.length,
    met: movedInVain < MOST_WRONG * vain.length ? "met" : bounds[0] > MOST_WRONG ? "missed" : "unclear",
  };
}
