import { at, columnOf, entryOf } from "../../core/numeric/dense.js";
import { symmetricInverse } from "../../core/numeric/linear-algebra.js";
import { minimiseTerms, type Terms } from "../../core/numeric/minimise-terms.js";
import {
  type BlockMode,
  expectedInformation,
  inPriorSds,
  type Likelihood,
  profileOf,
} from "../likelihood/maximise-likelihood.js";
import type { SourceFit } from "./fit-sources.js";

/**
 * The 95 % interval of every source by profile likelihood about the mode, rad or mm: a cross-check of the posterior's. The cut-to-cut errors are taken at their mode
 * instead of being integrated out, so it is too narrow where joints close (docs/worlds.md).
 *
 * @example
 * profileIntervals(calibration.fit).every(([low, high]) => low < high) // true
 */
export function profileIntervals(fit: SourceFit): [number, number][] {
  const { likelihood, best } = fit;
  const p = best.estimates.length;
  const x = inPriorSds(best.estimates, likelihood.sources);
  const { terms } = profileOf(likelihood, best.modes)(x);
  const covariance = symmetricInverse(expectedInformation(terms, p), p);
  return likelihood.sources.map(({ priorSd }, i) => {
    const [low, high] = profileInterval(likelihood, x, covariance, i, best.modes);
    return [low * priorSd, high * priorSd];
  });
}

/** Half the 95 % point of χ² with one degree of freedom, and the normal deviate it is the square of. */
const RISE = 1.9207294103470562;
const Z95 = 1.959963984540054;
/** Relative accuracy of the rise at which the search ends. */
const CLOSE = 0.04;
const MOST_ROUNDS = 5;
const MOST_STEPS = 8;

/**
 * The 95 % interval of one source by profile likelihood: both places where −log likelihood, minimised over everything else, has risen by half of χ²₀.₉₅.
 * Each side starts where the curvature says, with the other sources at their conditional means; where the rise there is right already, the likelihood is
 * nearly quadratic and the search ends. A kink of a closing joint makes the sides differ.
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
  const from = { profile, least, x, covariance, index };
  return [sideOf(from, -1), sideOf(from, 1)];
}

interface ProfileAt {
  readonly profile: ReturnType<typeof profileOf>;
  readonly least: number;
  readonly x: Float64Array;
  readonly covariance: Float64Array;
  readonly index: number;
}

function sideOf({ profile, least, x, covariance, index }: ProfileAt, side: number): number {
  const centre = at(x, index);
  const byIndex = columnOf(covariance, index, x.length);
  const deviation = Math.sqrt(at(byIndex, index));
  let reach = Z95 * deviation;
  let others: Float64Array = x.map((value, i) => value + (side * reach * at(byIndex, i)) / deviation ** 2);
  let bounds: [number, number] = [0, Number.POSITIVE_INFINITY];
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const place = others.with(index, centre + side * reach);
    let rise = profile(place).terms.value - least;
    // Without minimising over the others this is an upper bound of the profile.
    if (rise > RISE * (1 + CLOSE)) {
      const fitted = restFitted(profile, place, index);
      others = fitted.x;
      rise = fitted.value - least;
    } else others = place;
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
  return centre + side * reach;
}

/** The minimum over all sources but one. */
function restFitted(
  profile: ReturnType<typeof profileOf>,
  start: Float64Array,
  index: number,
): { x: Float64Array; value: number } {
  const p = start.length;
  const whole = (rest: Float64Array): Float64Array =>
    start.map((value, i) => (i === index ? value : at(rest, i < index ? i : i - 1)));
  const evaluate = (rest: Float64Array): Terms => {
    const { terms } = profile(whole(rest));
    return { ...terms, jacobian: terms.jacobian.filter((_, k) => k % p !== index) };
  };
  const found = minimiseTerms(
    evaluate,
    start.filter((_, i) => i !== index),
    {
      stepTolerance: 1e-3,
      valueTolerance: 1e-3,
      mostSteps: MOST_STEPS,
      kinked: true,
      // The start is near; more steps would gain little.
      firstRadii: [1],
    },
  );
  return { x: whole(found.x), value: found.terms.value };
}

/** Joint 95 % region of two correlated sources; rad or mm. */
export interface PairRegion {
  /** Indices of the two among the fit's sources. */
  readonly pair: readonly [number, number];
  readonly correlation: number;
  readonly centre: readonly [number, number];
  /** Vectors from the centre to the ends of the region's long and short half-axes, in units of the two standard uncertainties. */
  readonly axes: readonly [readonly [number, number], readonly [number, number]];
  /** Share of the posterior's draws inside. */
  readonly holds: number;
}

/** Least correlation of a pair for which a region is computed. */
export const TIED = 0.5;
const SHARE = 0.95;

/**
 * A joint 95 % region for every pair of sources whose correlation is at least {@link TIED}, strongest first: the ellipse of the posterior's covariance that holds 95 % of its
 * draws. (The two intervals alone do not show it: where two stops can only be wrong together, most of their rectangle has no probability.)
 *
 * @example
 * pairRegions(calibration.fit).every(({ axes }) => axes.length === 2) // true
 */
export function pairRegions(fit: SourceFit, tied: number = TIED): PairRegion[] {
  const p = fit.sources.length;
  const regions: PairRegion[] = [];
  for (let i = 0; i < p; i++) {
    for (let j = i + 1; j < p; j++) {
      const correlation = correlationOf(fit, i, j);
      if (Math.abs(correlation) >= tied) regions.push(regionOf(fit, i, j, correlation));
    }
  }
  return regions.sort((a, b) => Math.abs(b.correlation) - Math.abs(a.correlation));
}

function correlationOf({ covariance, sources }: SourceFit, i: number, j: number): number {
  const p = sources.length;
  const entry = (a: number, b: number): number => entryOf(covariance, a, b, p);
  return entry(i, j) / Math.sqrt(entry(i, i) * entry(j, j));
}

/** In units of the standard uncertainties the axes of the covariance [[1, r], [r, 1]] lie along the diagonals, with variances 1 ± r. */
function regionOf({ sources, estimates, sample }: SourceFit, i: number, j: number, r: number): PairRegion {
  const centre = [at(estimates, i), at(estimates, j)] as const;
  const standardised = (k: number): Float64Array =>
    columnOf(sample, k, sources.length).map(
      (value) => (value - at(estimates, k)) / at(sources, k).standardUncertainty,
    );
  const ys = standardised(j);
  const distances = Array.from(standardised(i), (x, d) => {
    const y = at(ys, d);
    return Math.hypot((x + y) / Math.sqrt(2 * (1 + r)), (x - y) / Math.sqrt(2 * (1 - r)));
  });
  const sorted = distances.toSorted((x, y) => x - y);
  const reach = at(sorted, Math.min(Math.ceil(SHARE * (sorted.length + 1)), sorted.length) - 1);
  const alike = reach * Math.sqrt((1 + r) / 2);
  const apart = reach * Math.sqrt((1 - r) / 2);
  const along = [alike, alike] as const;
  const across = [apart, -apart] as const;
  return {
    ...{ pair: [i, j], correlation: r, centre },
    axes: r >= 0 ? [along, across] : [across, along],
    holds: distances.filter((x) => x <= reach).length / distances.length,
  };
}
