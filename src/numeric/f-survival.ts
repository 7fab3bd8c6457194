import { incompleteBeta } from "./incomplete-beta.js";
import { refuse } from "./refuse.js";

/**
 * Probability that Fisher's F with `nu1` (numerator) and `nu2` (denominator) degrees of freedom exceeds `f` ≥ 0.
 * Error as {@link incompleteBeta}.
 */
export function fSurvival(f: number, nu1: number, nu2: number): number {
  if (!(f >= 0)) refuse("the ratio is out of range", "F must be ≥ 0", f, "fSurvival");
  if (f === Infinity) return 0;
  const r = (nu1 / nu2) * f;
  return incompleteBeta(r / (1 + r), nu1 / 2, nu2 / 2, 1 / (1 + r)).upper;
}
