import { QUANTILE_ERROR } from "../kernel/trials/streaming-quantiles.js";
import { normalQuantile } from "../numeric/normal-quantile.js";
import type { GapCounts } from "./gap-counts.js";

/** Confidence of every bound that says how far simulation may be off. */
export const CONFIDENCE = 0.95;

const Z = normalQuantile((1 + CONFIDENCE) / 2);

/** A figure from simulated cells, with the bounds (95 %) between which it would lie with endlessly many. */
export interface Estimated {
  readonly value: number;
  readonly low: number;
  readonly high: number;
}

/** A chance from how often it happened: bounds by the score interval (E. B. Wilson, J. Am. Stat. Assoc. 22, 1927), which hold also where it never did. */
export function chanceFrom(happened: number, trials: number): Estimated {
  const value = happened / trials;
  const share = Z ** 2 / trials;
  const centre = (value + share / 2) / (1 + share);
  const margin = (Z / (1 + share)) * Math.sqrt((value * (1 - value)) / trials + share / trials / 4);
  return {
    value,
    low: happened === 0 ? 0 : centre - margin,
    high: happened === trials ? 1 : centre + margin,
  };
}

/** A quantile, mm: bounds from the ranks between which it lies (binomial, taken as normal), widened by half a counting bin. */
export function quantileFrom(counts: GapCounts, p: number): Estimated {
  const { total } = counts;
  const margin = Z * Math.sqrt(p * (1 - p) * total);
  return {
    value: counts.quantile(p),
    low: counts.ranked(p * total - margin) * (1 - QUANTILE_ERROR),
    high: counts.ranked(p * total + margin + 1) * (1 + QUANTILE_ERROR),
  };
}
