export const SQRT_TWO_PI = 2.5066282746310002;
export const LOG_SQRT_TWO_PI = 0.9189385332046728;

/**
 * factor · exp(−z²/2) without the loss of squaring a rounded z: z is split so that the large square is exact
 * (relative error ≤ 1e-15 + that of `factor`), and the result is rounded once even where it is subnormal.
 */
export function gaussian(z: number, factor = 1): number {
  const high = Math.fround(z);
  if (Math.abs(high) > 60) return 0 * factor;
  const rest = Math.exp((-(z - high) * (z + high)) / 2) * factor;
  if (Math.abs(high) < 36) return Math.exp((-high * high) / 2) * rest;
  const half = Math.exp((-high * high) / 4);
  return half * (half * rest);
}

/** Density of the standard normal at `z`: exp(−z²/2)/√(2π). Relative error ≤ 1e-15 where the result is normal. */
export function normalPdf(z: number): number {
  return gaussian(z, 1 / SQRT_TWO_PI);
}
