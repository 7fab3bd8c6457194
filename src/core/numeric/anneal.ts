// The parts of sequential Monte Carlo (P. Del Moral, A. Doucet and A. Jasra, Sequential Monte Carlo samplers, J. R. Stat. Soc. B 68, 2006) that do not depend on what is sampled:
// walkers (particles) are brought from one distribution to another in stages, the ratio of the densities (the weight) raised to a power that grows from 0 to 1.

const HALVINGS = 40;

/** The largest increase of the power, at most `left`, at which weights with these logarithms have an effective sample size of `wanted`; found by bisection. */
export function nextPower(logs: Float64Array, left: number, wanted: number): number {
  if (sizeOf(sharesOf(logs, left)) >= wanted) return left;
  let [low, high] = [0, left];
  for (let k = 0; k < HALVINGS; k++) {
    const middle = low > 0 ? Math.sqrt(low * high) : high / 1024;
    if (sizeOf(sharesOf(logs, middle)) >= wanted) low = middle;
    else high = middle;
  }
  return low > 0 ? low : high;
}

/** Weights raised to a power and normalised to sum 1. */
export function sharesOf(logs: Float64Array, power: number): Float64Array {
  const top = logs.reduce((a, b) => Math.max(a, b));
  const out = logs.map((log) => Math.exp(power * (log - top)));
  const sum = out.reduce((a, b) => a + b, 0);
  return out.map((share) => share / sum);
}

const sizeOf = (shares: Float64Array): number => 1 / shares.reduce((sum, share) => sum + share * share, 0);

/** Systematic resampling: as many picks as shares, each index picked in proportion to its share; `at` is in [0, 1). */
export function systematicPicks(shares: Float64Array, at: number): Int32Array {
  const picks = new Int32Array(shares.length);
  let [k, sum] = [0, shares[0] ?? 1];
  for (let i = 0; i < picks.length; i++) {
    while ((i + at) / picks.length > sum && k < shares.length - 1) sum += shares[++k] ?? 0;
    picks[i] = k;
  }
  return picks;
}

/**
 * Effective sample size of walkers' draws of one number by batch means: G·S²/V for G batches of draws, with V the variance between their means and S² the variance of all
 * draws. A batch is a walker in all its rounds, or a group of walkers next to each other that were resampled among themselves. At most the number of draws; G where no walker
 * ever moves and each is a batch.
 *
 * @param value of draw k of walker w in round r at place (r·walkers + w).
 */
export function effectiveSampleSize(
  draws: number,
  { walkers, batches = walkers }: { readonly walkers: number; readonly batches?: number },
  value: (k: number) => number,
): number {
  const means = new Float64Array(batches);
  const size = walkers / batches;
  let mean = 0;
  for (let k = 0; k < draws; k++) {
    means[Math.floor((k % walkers) / size)]! += (value(k) * batches) / draws;
    mean += value(k) / draws;
  }
  let all = 0;
  for (let k = 0; k < draws; k++) all += (value(k) - mean) ** 2 / draws;
  const between = means.reduce((sum, m) => sum + (m - mean) ** 2, 0) / (batches - 1);
  return between === 0 ? draws : Math.min(draws, (batches * all) / between);
}
