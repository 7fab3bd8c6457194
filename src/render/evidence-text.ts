import { present } from "../core/numeric/dense.js";
import type { ShopRange } from "../inference/forecast/shop-range.js";
import type { Basis, JigState, JobPosterior } from "../inference/job-posterior.js";
import { chanceText } from "./shop-numbers.js";

// The first line of every command that speaks of a shop: what its answer rests on, and of which jigs it speaks.

/** `58 readings of 10 trial pieces`, or `what the job states; no readings`. */
export function basisText({ readings, pieces, records }: Basis): string {
  const recorded =
    records.length === 0 ? "" : ` and the record${records.length === 1 ? "" : "s"} ${records.join(", ")}`;
  if (readings === 0) return `what the job states${recorded}; no readings`;
  return `${readings} reading${readings === 1 ? "" : "s"} of ${pieces} trial piece${pieces === 1 ? "" : "s"}${recorded}`;
}

const STATE_TEXT: Readonly<Record<JigState, string>> = {
  "as they stand": "jigs and stops as they stand",
  "after the moves": "jigs and stops after the moves on the card",
};

/** Below this effective sample size an estimate moves by more than a tenth of its standard uncertainty when it is drawn again, which is then said. */
const ROUGH_BELOW = 100;

/**
 * `Based on 58 readings of 10 trial pieces; jigs and stops as they stand.` Where the fit could draw only few independent shops, for example from the gaps of a whole cell alone, it
 * says how rough that makes the figures.
 */
export function evidenceText({
  basis,
  state,
  effectiveSampleSize,
}: Pick<JobPosterior, "basis" | "state" | "effectiveSampleSize">): string {
  const based = `Based on ${basisText(basis)}; ${STATE_TEXT[state]}.`;
  if (effectiveSampleSize >= ROUGH_BELOW) return based;
  const share = Math.sqrt(1 / effectiveSampleSize).toFixed(1);
  return `${based} The figures are rough: calculated again with another seed, an estimate moves by about ${share} of its standard uncertainty. Readings of single pieces make them firm.`;
}

/** Chance to close in 8 of 10 shops that the evidence allows, or in 95 %: `3 % to 62 %`. */
export function shopRangeText({ closes }: ShopRange, share: 0.8 | 0.95): string {
  const end = (p: number): string =>
    chanceText(present(closes.find((one) => Math.abs(one.p - p) < 1e-9)).value);
  const [low, high] = [end((1 - share) / 2), end((1 + share) / 2)];
  return low === high ? low : `${low} to ${high}`;
}

/** The same for other programs. */
export const evidenceJson = ({ basis, state }: Pick<JobPosterior, "basis" | "state">): object => ({
  basis,
  jigs: state,
});
