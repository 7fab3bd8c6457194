import { refuse } from "../numeric/refuse.js";

/** Ends of a coverage interval. */
export type Interval = readonly [low: number, high: number];

/** Number q of steps between the ends for coverage probability p, rounded as JCGM 101:2008, 7.7.1 says. */
function span(sorted: ArrayLike<number>, p: number): number {
  const m = sorted.length;
  const q = Math.floor(p * m + 0.5);
  if (!(q >= 1 && q < m))
    refuse(
      "there are too few values for this coverage",
      "1 ≤ p·M < M",
      `${m} values, p = ${p}`,
      "coverageInterval",
    );
  return q;
}

/**
 * Probabilistically symmetric coverage interval of `sorted` values (ascending): equal probability left out at both ends
 * (JCGM 101:2008, 7.7.2).
 */
export function symmetricInterval(sorted: ArrayLike<number>, p: number): Interval {
  const q = span(sorted, p);
  const r = Math.floor((sorted.length - q + 1) / 2);
  return [sorted[r - 1]!, sorted[r + q - 1]!];
}

/** Shortest coverage interval of `sorted` values (ascending) (JCGM 101:2008, 7.7.4); of equally short ones the lowest. */
export function shortestInterval(sorted: ArrayLike<number>, p: number): Interval {
  const q = span(sorted, p);
  let best = 0;
  for (let r = 1; r + q < sorted.length; r++)
    if (sorted[r + q]! - sorted[r]! < sorted[best + q]! - sorted[best]!) best = r;
  return [sorted[best]!, sorted[best + q]!];
}
