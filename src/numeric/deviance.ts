/**
 * x·log(x/m) + m − x ≥ 0, the deviance of `x` from `m` (both > 0), without cancellation when they are close:
 * with v = (x − m)/(x + m) it is (x − m)·v + 2x·(v³/3 + v⁵/5 + …). After C. Loader, "Fast and accurate computation of
 * binomial probabilities", 2000.
 */
export function deviance(x: number, m: number): number {
  if (x === 0) return m;
  const v = (x - m) / (x + m);
  if (Math.abs(v) > 0.4) return x * Math.log(x / m) + m - x;
  const square = v * v;
  let power = 2 * x * v;
  let sum = (x - m) * v;
  for (let k = 3; ; k += 2) {
    power *= square;
    const next = sum + power / k;
    if (next === sum) return sum;
    sum = next;
  }
}
