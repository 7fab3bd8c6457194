import { normalCdf, normalSurvival } from "../numeric/normal-cdf.js";
import { normalPdf } from "../numeric/normal-pdf.js";

/**
 * Expected (Fisher) information about μ of one reading that only tells between which two edges x ~ N(μ, σ²) fell: Σ (∂P/∂μ)²/P over the intervals that
 * the edges part the line into, per unit² of μ. At most 1/σ², which a reading of x itself would give; nearly that when the edges are closer than σ.
 *
 * @param edges rising, the leaves of a feeler gauge
 */
export function intervalInformation(mu: number, sigma: number, edges: readonly number[]): number {
  let sum = 0;
  for (let k = 0; k <= edges.length; k++) {
    const low = k === 0 ? Number.NEGATIVE_INFINITY : (edges[k - 1]! - mu) / sigma;
    const high = k === edges.length ? Number.POSITIVE_INFINITY : (edges[k]! - mu) / sigma;
    // From the nearer tail, so that a small chance keeps its digits.
    const chance = low > 0 ? normalSurvival(low) - normalSurvival(high) : normalCdf(high) - normalCdf(low);
    if (chance < LEAST_CHANCE) continue;
    const slope = (density(low) - density(high)) / sigma;
    sum += slope ** 2 / chance;
  }
  return sum;
}

/** Rarer intervals add nothing to an expectation. */
const LEAST_CHANCE = 1e-14;
const density = (z: number): number => (Number.isFinite(z) ? normalPdf(z) : 0);

/**
 * Variance of the noise of a reading of the value itself that would tell as much about μ as the interval does, when x scatters about μ by `scatter`
 * (the piece) besides `noise` (the instrument), both standard deviations: 1/J − scatter², never less than noise². `Infinity` where the interval is foregone.
 */
export function equivalentVariance(
  mu: number,
  noise: number,
  scatter: number,
  edges: readonly number[],
): number {
  const information = intervalInformation(mu, Math.hypot(noise, scatter), edges);
  if (information < LEAST_INFORMATION) return Number.POSITIVE_INFINITY;
  return Math.max(1 / information - scatter ** 2, noise ** 2);
}

const LEAST_INFORMATION = 1e-9;
