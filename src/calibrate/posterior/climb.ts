import {
  type Likelihood,
  type LikelihoodFit,
  maximiseLikelihood,
  profileOf,
} from "../maximise-likelihood.js";
import type { Walk } from "./walk-posterior.js";

/** So many walkers are asked how high the ground is where they stand. */
const ASKED = 6;

/**
 * The most probable sources and cut-to-cut errors: climbed to from where a walk found the highest ground. A closing joint is a kink that a climb from the errors expected
 * beforehand can be caught in, and a gap read at its widest may be of a sharp or a blunt point; a walk sees past both.
 * Walkers are compared by their sources alone, each with the cut-to-cut errors that suit it best (their own scatter), and at first order, as they walked.
 */
export function climbFromWalk(likelihood: Likelihood, { states }: Walk): LikelihoodFit {
  const some = states.filter((_, k) => k % Math.ceil(states.length / ASKED) === 0);
  const first: Likelihood = { ...likelihood, job: { ...likelihood.job, order: "first" } };
  const found = some.map(({ sources, latents }) => {
    const profile = profileOf(
      first,
      latents.map((own) => ({ latents: own })),
    );
    const { terms, modes } = profile(sources);
    return { sources, modes, value: terms.value };
  });
  const { sources, modes } = found.reduce((a, b) => (b.value < a.value ? b : a));
  const from = sources.map((value, i) => value * likelihood.sources[i]!.trustedTo);
  return maximiseLikelihood(likelihood, from, modes);
}
