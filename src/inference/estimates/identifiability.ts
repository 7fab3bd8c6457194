import { at, columnOf, diagonalOf, entryOf } from "../../core/numeric/dense.js";
import { symmetricEigen } from "../../core/numeric/linear-algebra.js";
import type { SourceId } from "../../model/source-id.js";
import type { Source } from "../../model/sources.js";

/** A combination of sources, or a single one, that the readings do not identify. */
export interface Unseparated {
  /** Weights in units of each source's prior standard deviation; the largest is positive. */
  readonly weights: readonly { readonly source: SourceId; readonly weight: number }[];
  /** Posterior standard deviation of the combination as a share of the prior's, 0 to 1. */
  readonly remaining: number;
}

/** A combination counts as unidentified when more than this share of its prior standard deviation remains. */
const REMAINING_MUCH = 0.7;
const WEIGHT_NAMED = 0.25;

/** A source whose correlation with every other source is below this in absolute value is reported by itself. */
const BY_ITSELF = 0.5;

/**
 * What remains nearly as uncertain after the readings as in the prior: uncorrelated sources by themselves, and combinations of correlated ones, the eigenvectors of the posterior covariance
 * in units of the priors (its eigenvalues are the remaining shares squared).
 *
 * @param covariance posterior covariance in units of each source's prior standard deviation, row-major.
 */
export function unseparatedOf(sources: readonly Source[], covariance: Float64Array): Unseparated[] {
  const p = sources.length;
  const variances = diagonalOf(covariance);
  const tied = (i: number): boolean =>
    variances.some((variance, j) => {
      const tie = Math.abs(entryOf(covariance, i, j, p));
      return j !== i && tie >= BY_ITSELF * Math.sqrt(at(variances, i) * variance);
    });
  const members = sources.flatMap((_, i) => (tied(i) ? [i] : []));
  const alone = sources.flatMap((source, i): Unseparated[] => {
    const remaining = Math.min(1, Math.sqrt(at(variances, i)));
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
  const own = Float64Array.from(members.flatMap((i) => members.map((j) => entryOf(covariance, i, j, p))));
  const { values, vectors } = symmetricEigen(own, members.length);
  return values.flatMap((value, k): Unseparated[] => {
    const remaining = Math.min(1, Math.sqrt(Math.max(0, value)));
    if (remaining < REMAINING_MUCH) return [];
    const vector = at(vectors, k);
    const largest = vector.reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a));
    const weights = Array.from(vector, (weight, i) => ({
      source: at(sources, at(members, i)).id,
      weight: weight / (Math.sign(largest) || 1),
    }))
      .filter(({ weight }) => Math.abs(weight) >= WEIGHT_NAMED)
      .sort((a, b) => Math.abs(b.weight) - Math.abs(a.weight));
    return [{ weights, remaining }];
  });
}

/** One of two modes of a source; rad or mm. */
export interface Side {
  /** Share of the posterior's draws on this side, 0 to 1. */
  readonly share: number;
  /** Mean and standard deviation of the draws on this side. */
  readonly estimate: number;
  readonly standardUncertainty: number;
}

/** A source whose size is identified but whose sign is not: the estimates on both sides of zero. */
export interface TwoSides {
  readonly above: Side;
  readonly below: Side;
}

/** A sign is not identified as long as the less probable one has more than this share of the draws. */
const OPEN = 0.025;
/** A side is a separate mode when its mean is more than this many of its standard deviations from zero. (For half of a normal distribution about zero that ratio is 1.3, for a tail it is lower.) */
const OWN_PLACE = 2;

/**
 * The two sides of source i among draws from the posterior, row-major (draw, source); `null` if its sign is identified or its size is not.
 * This happens because a gap that is read at the wider of front and back is equally wide whichever way a ramp leans.
 */
export function twoSides(sample: Float64Array, p: number, i: number): TwoSides | null {
  const values = Array.from(columnOf(sample, i, p));
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
    estimate,
    share: values.length / of,
    standardUncertainty: Math.sqrt(squares / values.length),
  };
}

/** The side with more draws; the upper one if both have the same number. */
export const likelierSide = ({ above, below }: TwoSides): Side =>
  above.share >= below.share ? above : below;

/** Both sides multiplied by `unit`: the number of new units in one old unit. */
export function inUnitsOf({ above, below }: TwoSides, unit: number): TwoSides {
  const scaled = ({ share, estimate, standardUncertainty: u }: Side): Side => ({
    share,
    estimate: estimate * unit,
    standardUncertainty: u * unit,
  });
  return { above: scaled(above), below: scaled(below) };
}
