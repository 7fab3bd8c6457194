import { symmetricEigen } from "../../core/numeric/linear-algebra.js";
import type { SourceId } from "../../model/source-id.js";
import type { Source } from "../../model/sources.js";

/** A combination of sources, or a single one, that the readings do not tell. */
export interface Unseparated {
  /** Weights in units of each source's prior standard deviation; the largest is positive. */
  readonly weights: readonly { readonly source: SourceId; readonly weight: number }[];
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
      : [{ weights: [{ source: source.id, weight: 1 }], remaining }];
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
    const weights = Array.from(vector, (weight, i) => ({
      source: sources[members[i]!]!.id,
      weight: weight / (Math.sign(largest) || 1),
    }))
      .filter(({ weight }) => Math.abs(weight) >= WEIGHT_NAMED)
      .sort((a, b) => Math.abs(b.weight) - Math.abs(a.weight));
    return [{ weights, remaining }];
  });
}

/** One of two places where a source may lie; rad or mm. */
export interface Side {
  /** Share of the posterior's draws on this side, 0 to 1. */
  readonly share: number;
  /** Mean and standard deviation of the draws on it. */
  readonly estimate: number;
  readonly standardUncertainty: number;
}

/** A source whose size the readings tell and whose sign they do not: what it is on either side of zero. */
export interface TwoSides {
  readonly above: Side;
  readonly below: Side;
}

/** The less likely sign is left open while it has more than this share of the draws: a 95 % interval reaches it. */
const OPEN = 0.025;
/** A side is a place of its own when its mean is more than this many of its standard deviations from zero. (The half of a normal law about zero has 1.3, the tail of one beyond zero less.) */
const OWN_PLACE = 2;

/**
 * The two sides of source i among draws from the posterior, row-major (draw, source); `null` where its sign is told, or its size is not.
 * A gap read at the wider of front and back is as wide whichever way a ramp leans.
 */
export function twoSides(sample: Float64Array, p: number, i: number): TwoSides | null {
  const values = Array.from({ length: sample.length / p }, (_, d) => sample[d * p + i]!);
  const above = values.filter((value) => value >= 0);
  const below = values.filter((value) => value < 0);
  if (Math.min(above.length, below.length) <= OPEN * values.length) return null;
  const sides = { above: sideOf(above, values.length), below: sideOf(below, values.length) };
  const apart = Object.values(sides).every(
    ({ estimate, standardUncertainty }) => Math.abs(estimate) > OWN_PLACE * standardUncertainty,
  );
  return apart ? sides : null;
}

function sideOf(values: readonly number[], of: number): Side {
  const estimate = values.reduce((sum, value) => sum + value, 0) / values.length;
  const squares = values.reduce((sum, value) => sum + (value - estimate) ** 2, 0);
  return {
    ...{ estimate, share: values.length / of },
    standardUncertainty: Math.sqrt(squares / values.length),
  };
}

/** The side with more draws, the upper where both have as many. */
export const likelierSide = ({ above, below }: TwoSides): Side =>
  above.share >= below.share ? above : below;

/** Both sides in another unit of the source, `unit` of the new one to one of the old. */
export function inUnitsOf({ above, below }: TwoSides, unit: number): TwoSides {
  const scaled = ({ share, estimate, standardUncertainty: u }: Side): Side => ({
    share,
    estimate: estimate * unit,
    standardUncertainty: u * unit,
  });
  return { above: scaled(above), below: scaled(below) };
}
