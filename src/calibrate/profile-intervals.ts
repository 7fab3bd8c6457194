import type { SourceFit } from "./fit-sources.js";
import { expectedInformation, invert } from "./information.js";
import { profileOf } from "./maximise-likelihood.js";
import { profileInterval } from "./profile-interval.js";

/**
 * The 95 % interval of every source by profile likelihood about the most probable values, rad or mm: a second opinion. It takes the cut-to-cut errors at their most
 * probable values instead of all that they may be, and so is too narrow where joints close (docs/worlds.md).
 */
export function profileIntervals({ likelihood, best }: SourceFit): [number, number][] {
  const p = best.estimates.length;
  const unit = likelihood.sources.map(({ trustedTo }) => trustedTo);
  const x = best.estimates.map((value, i) => value / unit[i]!);
  const { terms } = profileOf(likelihood, best.modes)(x);
  const covariance = invert(expectedInformation(terms, p), p);
  return unit.map((scale, i) => {
    const [low, high] = profileInterval(likelihood, x, covariance, i, best.modes);
    return [low * scale, high * scale];
  });
}
