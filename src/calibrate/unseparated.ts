import type { Source } from "../cutting/sources.js";
import { symmetricEigen } from "./information.js";

/** A combination of sources, or a single one, that the readings do not tell. */
export interface Unseparated {
  /** Weights in units of each source's prior standard deviation; the largest is positive. */
  readonly weights: readonly { readonly source: string; readonly weight: number }[];
  /** Standard deviation of the combination after the data, as a share of before. */
  readonly remaining: number;
}

/** A combination counts as unseparated when the data leave more than this share of its prior standard deviation. */
const REMAINING_MUCH = 0.7;
const WEIGHT_NAMED = 0.25;

/** A source with a correlation below this with every other is spoken of by itself. */
const BY_ITSELF = 0.5;

/**
 * What the data leave nearly as wide as the prior had it: sources by themselves, and of those that are tied to others the combinations, eigenvectors of the posterior's covariance
 * in units of the priors (its singular values are the squares of what remains).
 *
 * @param covariance of the posterior in units of each source's prior standard deviation, row-major.
 */
export function unseparatedOf(sources: readonly Source[], covariance: Float64Array): Unseparated[] {
  const p = sources.length;
  const variance = (i: number): number => covariance[i * p + i]!;
  const tied = (i: number): boolean =>
    sources.some((_, j) => {
      return j !== i && Math.abs(covariance[i * p + j]!) >= BY_ITSELF * Math.sqrt(variance(i) * variance(j));
    });
  const members = sources.flatMap((_, i) => (tied(i) ? [i] : []));
  const alone = sources.flatMap((source, i): Unseparated[] => {
    const remaining = Math.min(1, Math.sqrt(variance(i)));
    return tied(i) || remaining < REMAINING_MUCH
      ? []
      : [{ weights: [{ source: source.name, weight: 1 }], remaining }];
  });
  return [...combinations(sources, covariance, members), ...alone].sort((a, b) => b.remaining - a.remaining);
}

function combinations(
  sources: readonly Source[],
  covariance: Float64Array,
  members: readonly number[],
): Unseparated[] {
  if (members.length === 0) return [];
  const p = sources.length;
  const own = Float64Array.from(members.flatMap((i) => members.map((j) => covariance[i * p + j]!)));
  const { values, vectors } = symmetricEigen(own, members.length);
  return values.flatMap((value, k): Unseparated[] => {
    const remaining = Math.min(1, Math.sqrt(Math.max(0, value)));
    if (remaining < REMAINING_MUCH) return [];
    const vector = vectors[k]!;
    const largest = vector.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a));
    const weights = vector
      .map((weight, i) => ({
        source: sources[members[i]!]!.name,
        weight: weight / (Math.sign(largest) || 1),
      }))
      .filter(({ weight }) => Math.abs(weight) >= WEIGHT_NAMED)
      .sort((a, b) => Math.abs(b.weight) - Math.abs(a.weight));
    return [{ weights, remaining }];
  });
}
