import { normalQuantile } from "../numeric/normal-quantile.js";
import { tQuantile } from "../numeric/student-t-quantile.js";
import { CONFIDENCE, type Estimated } from "../outlook/estimated.js";
import { typeA } from "../propagate/type-a.js";

const TAIL = (1 + CONFIDENCE) / 2;

/** Mean of a figure over simulated panels, with its bounds (95 %, Student's t: panels are independent of each other, their cells are not). */
export function meanOver(values: ArrayLike<number>): Estimated {
  const { mean, standardUncertainty, degreesOfFreedom } = typeA(Array.from(values));
  const margin = standardUncertainty * tQuantile(TAIL, degreesOfFreedom);
  return { value: mean, low: mean - margin, high: mean + margin };
}

/**
 * Mean of a count over simulated panels. Where nothing was ever counted the upper bound is the exact one of a Poisson count: with a larger mean
 * there would have been one with 97.5 % chance.
 */
export function meanCount(counts: ArrayLike<number>): Estimated {
  const mean = meanOver(counts);
  if (mean.value === 0) return { value: 0, low: 0, high: -Math.log(1 - TAIL) / counts.length };
  return { ...mean, low: Math.max(0, mean.low) };
}

/** The value that the share p of the panels does not exceed; bounds (95 %) from the ranks between which it lies (binomial, taken as normal). */
export function quantileOver(values: Float64Array, p: number): Estimated {
  const sorted = values.slice().sort();
  const n = sorted.length;
  const ranked = (r: number): number => sorted[Math.min(Math.max(Math.ceil(r), 1), n) - 1]!;
  const margin = normalQuantile(TAIL) * Math.sqrt(p * (1 - p) * n);
  return { value: ranked(p * n), low: ranked(p * n - margin), high: ranked(p * n + margin + 1) };
}
