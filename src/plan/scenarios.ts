import { choleskyInPlace } from "../numeric/cholesky.js";
import { createStream } from "../numeric/random-stream.js";

/** What is known of the shared sources: their means (rad, mm) and covariance, row-major. */
export interface Knowledge {
  readonly estimates: Float64Array;
  readonly covariance: Float64Array;
}

/** How many errors a shop might have that a plan is weighed over, by default. */
export const SCENARIOS = 32;

/**
 * Sources as they might really be, drawn from what is known, in pairs on either side of the mean: what a reading tells depends on whether a point is sharp or blunt.
 */
export function drawScenarios(
  { estimates, covariance }: Knowledge,
  count: number,
  seed: number,
): Float64Array[] {
  const p = estimates.length;
  const root = covariance.slice();
  for (let i = 0; i < p; i++) root[i * p + i]! *= 1 + 1e-12;
  if (!choleskyInPlace(root, p))
    throw new RangeError("The covariance of the sources is not positive definite; in drawScenarios.");
  const stream = createStream(seed, 7);
  let offset = new Float64Array(p);
  return Array.from({ length: count }, (_, s) => {
    if (s % 2 === 1) return estimates.map((mean, i) => mean - offset[i]!);
    const normals = stream.fill(new Float64Array(p));
    offset = Float64Array.from({ length: p }, (_, i) => {
      let sum = 0;
      for (let k = 0; k <= i; k++) sum += root[i * p + k]! * normals[k]!;
      return sum;
    });
    return estimates.map((mean, i) => mean + offset[i]!);
  });
}
