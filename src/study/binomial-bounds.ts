import { incompleteBeta } from "../numeric/incomplete-beta.js";

/**
 * Exact bounds of a probability of which `hits` of `count` were seen (C. J. Clopper and E. S. Pearson, Biometrika 26, 1934), with the stated confidence in (0, 1).
 * The lower is where hits or more have the chance (1 − confidence)/2, the upper where hits or fewer do.
 */
export function binomialBounds(hits: number, count: number, confidence: number): [number, number] {
  const tail = (1 - confidence) / 2;
  // P(X ≥ k) = I_p(k, n − k + 1).
  const low = hits === 0 ? 0 : rootOf((p) => incompleteBeta(p, hits, count - hits + 1).lower - tail);
  const high = hits === count ? 1 : rootOf((p) => tail - incompleteBeta(p, hits + 1, count - hits).upper);
  return [low, high];
}

/** Confidence of each of `lines` bounds that all hold together with `confidence`, were they independent (Z. Šidák, JASA 62, 1967). */
export const simultaneous = (confidence: number, lines: number): number => confidence ** (1 / lines);

/** Root in [0, 1] of a rising function. */
function rootOf(rising: (p: number) => number): number {
  let [low, high] = [0, 1];
  while (high - low > 1e-12) {
    const middle = (low + high) / 2;
    if (rising(middle) < 0) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}
