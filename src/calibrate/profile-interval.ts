import { minimiseTerms, type Terms } from "../numeric/minimise-terms.js";
import type { BlockMode } from "./block-mode.js";
import type { Likelihood } from "./maximise-likelihood.js";
import { profileOf } from "./maximise-likelihood.js";

/** Half the 95 % point of χ² with one degree of freedom, and the normal deviate it is the square of. */
const RISE = 1.9207294103470562;
const Z95 = 1.959963984540054;
/** A rise within this share of the wanted one is taken. */
const CLOSE = 0.04;
const MOST_ROUNDS = 5;
const MOST_STEPS = 8;

/**
 * The 95 % interval of one source by profile likelihood: both places where −log likelihood, minimised over everything else, has risen by half of χ²₀.₉₅.
 * Each side starts where the curvature says, with the other sources at their conditional means; where the rise there is right already, the likelihood is
 * as good as quadratic and nothing more is done. A kink of a closing joint makes the sides differ.
 *
 * @param x the most probable sources, and `covariance`, in units of the prior standard deviations.
 * @param near modes of the trials at x, to start from.
 * @returns both ends, in the same units.
 */
export function profileInterval(
  problem: Likelihood,
  x: Float64Array,
  covariance: Float64Array,
  index: number,
  near: readonly BlockMode[] = [],
): [number, number] {
  const profile = profileOf(problem, near);
  const least = profile(x).terms.value;
  const [low, high] = [-1, 1].map((side) => sideOf({ problem, profile, least, x, covariance, index }, side));
  return [low!, high!];
}

interface ProfileAt {
  readonly problem: Likelihood;
  readonly profile: ReturnType<typeof profileOf>;
  readonly least: number;
  readonly x: Float64Array;
  readonly covariance: Float64Array;
  readonly index: number;
}

function sideOf({ profile, least, x, covariance, index }: ProfileAt, side: number): number {
  const p = x.length;
  const deviation = Math.sqrt(covariance[index * p + index]!);
  let reach = Z95 * deviation;
  let others: Float64Array = x.map(
    (value, i) => value + (side * reach * covariance[i * p + index]!) / deviation ** 2,
  );
  let bounds: [number, number] = [0, Number.POSITIVE_INFINITY];
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const at = others.with(index, x[index]! + side * reach);
    let rise = profile(at).terms.value - least;
    // Not re-minimised over the others this is an upper bound of the profile.
    if (rise > RISE * (1 + CLOSE)) {
      const fitted = restFitted(profile, at, index);
      others = fitted.x;
      rise = fitted.value - least;
    } else others = at;
    if (Math.abs(rise / RISE - 1) <= CLOSE) break;
    bounds = rise < RISE ? [reach, bounds[1]] : [bounds[0], reach];
    const next = rise > 0 ? reach * Math.sqrt(RISE / rise) : 2 * reach;
    const [inside, outside] = bounds;
    reach =
      next > inside && next < outside
        ? Math.min(next, 2 * reach)
        : Number.isFinite(outside)
          ? (inside + outside) / 2
          : 2 * reach;
  }
  return x[index]! + side * reach;
}

/** The least over all sources but one. */
function restFitted(
  profile: ReturnType<typeof profileOf>,
  at: Float64Array,
  index: number,
): { x: Float64Array; value: number } {
  const p = at.length;
  const whole = (rest: Float64Array): Float64Array =>
    Float64Array.from({ length: p }, (_, i) => (i === index ? at[index]! : rest[i < index ? i : i - 1]!));
  const evaluate = (rest: Float64Array): Terms => {
    const { terms } = profile(whole(rest));
    return { ...terms, jacobian: terms.jacobian.filter((_, k) => k % p !== index) };
  };
  const found = minimiseTerms(
    evaluate,
    at.filter((_, i) => i !== index),
    {
      stepTolerance: 1e-3,
      valueTolerance: 1e-3,
      mostSteps: MOST_STEPS,
      kinked: true,
      // The start is near, and a walk that runs out of steps has got as far as another would.
      firstRadii: [1],
    },
  );
  return { x: whole(found.x), value: found.terms.value };
}
