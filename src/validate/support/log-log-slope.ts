/** Slope of the straight line fitted to log y over log x: the power with which y grows. */
export function logLogSlope(xs: readonly number[], ys: readonly number[]): number {
  const [u, v] = [xs, ys].map((list) => list.map(Math.log)) as [number[], number[]];
  const mean = (list: readonly number[]): number => list.reduce((a, b) => a + b, 0) / list.length;
  const [mu, mv] = [mean(u), mean(v)];
  const products = u.reduce((sum, x, i) => sum + (x - mu) * (v[i]! - mv), 0);
  return products / u.reduce((sum, x) => sum + (x - mu) ** 2, 0);
}
