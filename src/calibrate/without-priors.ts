import type { SourceEstimate } from "./fit-sources.js";
import { symmetricEigen } from "./information.js";
import { type Likelihood, type LikelihoodFit, maximiseLikelihood } from "./maximise-likelihood.js";

/** The fit from the readings alone, for the sources they determine: those with no part in a combination the data say nothing of. */
export function withoutPriors(
  likelihood: Likelihood,
  { estimates: start, modes }: LikelihoodFit,
  data: Float64Array,
): (i: number) => SourceEstimate["withoutPrior"] {
  const p = start.length;
  const unit = likelihood.sources.map(({ trustedTo }) => trustedTo);
  const { values, vectors } = symmetricEigen(data, p);
  const free = values.map((value) => value < NOTHING_SAID);
  const determined = (i: number): boolean =>
    free.every((isFree, k) => !isFree || Math.abs(vectors[k]![i]!) < NO_PART);
  if (!start.some((_, i) => determined(i))) return () => null;
  const fit = maximiseLikelihood({ ...likelihood, priorWeight: HARDLY_ANY }, start, modes);
  if (!fit.minimum.converged && fit.minimum.status !== "lost") return () => null;
  return (i) => {
    if (!determined(i)) return null;
    const variance = values.reduce(
      (sum, value, k) => (free[k] ? sum : sum + vectors[k]![i]! ** 2 / value),
      0,
    );
    return { estimate: fit.estimates[i]!, standardUncertainty: unit[i]! * Math.sqrt(variance) };
  };
}

/** The fit without priors keeps this much of them, so that what the readings do not determine stays put. */
const HARDLY_ANY = 1e-3;
/** Information (in prior units) below which the readings say nothing of a combination, and the share of it a source may still have. */
const NOTHING_SAID = 1e-3;
const NO_PART = 0.02;
