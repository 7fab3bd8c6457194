import type { Source } from "../cutting/sources.js";
import { symmetricEigen } from "./information.js";

/** A combination of sources that the readings alone do not tell apart. */
export interface Unseparated {
  /** Weights in units of each source's prior standard deviation; the largest is positive. */
  readonly weights: readonly { readonly source: string; readonly weight: number }[];
  /** Standard deviation of the combination after the data, as a share of before. */
  readonly remaining: number;
}

/** A combination counts as unseparated when the data leave more than this share of its prior standard deviation. */
const REMAINING_MUCH = 0.7;
const WEIGHT_NAMED = 0.25;

/** Combinations that the data leave nearly as wide as the prior had them: eigenvectors of the data's information with small eigenvalues. */
export function unseparatedOf(sources: readonly Source[], data: Float64Array): Unseparated[] {
  const { values, vectors } = symmetricEigen(data, sources.length);
  return values.flatMap((value, k): Unseparated[] => {
    const remaining = 1 / Math.sqrt(1 + Math.max(0, value));
    if (remaining < REMAINING_MUCH) return [];
    const vector = vectors[k]!;
    const largest = vector.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a));
    const weights = vector
      .map((weight, i) => ({ source: sources[i]!.name, weight: weight / (Math.sign(largest) || 1) }))
      .filter(({ weight }) => Math.abs(weight) >= WEIGHT_NAMED)
      .sort((a, b) => Math.abs(b.weight) - Math.abs(a.weight));
    return [{ weights, remaining }];
  });
}
