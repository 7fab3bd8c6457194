import { incompleteGamma } from "./incomplete-gamma.js";

/**
 * Probability that a chi-square with `nu` degrees of freedom (any real > 0) exceeds `x` ≥ 0.
 * Error as {@link incompleteGamma}.
 */
export function chiSquareSurvival(x: number, nu: number): number {
  return incompleteGamma(nu / 2, x / 2).upper;
}
