import { lengthOf } from "./columns.js";

export type Residuals = (x: Float64Array) => ArrayLike<number>;

/** The nearer of the two steps of a difference, as a share of the unknown: rounding (ε/share) balances what four points leave out (share⁴). */
const SHARE = 1e-4;
/** Steps shrink by this where the residuals are not finite that far out … */
const SHRINK = 1e-2;
/** … at most so many times. */
const MOST_SHRINKS = 3;

/**
 * Returns a function that computes ∂r_i/∂x, row-major, by differences over four points, [8(r(h) − r(−h)) − (r(2h) − r(−2h))]/12h.
 *
 * A step is a share of its unknown's size. An unknown near zero is taken to be as large as the change that would move the residuals by their own length,
 * but no larger than it has been (or 1, while it has always been zero): so the function remembers what it has seen.
 *
 * @param residuals asked for at x ± h and x ± 2h, one unknown at a time; where they are not finite the step is shortened.
 */
export function residualDifferences(
  residuals: Residuals,
): (x: Float64Array, at: ArrayLike<number>) => Float64Array {
  let largest: Float64Array | null = null;
  let telling: Float64Array | null = null;
  return (x, at) => {
    const n = x.length;
    const seen = x.map((value, j) => Math.max(Math.abs(value), largest?.[j] ?? 0));
    const columns = Array.from(x, (value, j) => {
      const known = seen[j]! || 1;
      return slopesBy(
        residuals,
        x,
        j,
        SHARE * Math.max(Math.abs(value), Math.min(known, telling?.[j] ?? known)),
      );
    });
    const size = lengthOf(at);
    largest = seen;
    telling = Float64Array.from(columns, (column) => size / lengthOf(column) || Number.POSITIVE_INFINITY);
    const out = new Float64Array(at.length * n);
    for (const [j, column] of columns.entries())
      for (const [i, slope] of column.entries()) out[i * n + j] = slope;
    return out;
  };
}

function slopesBy(residuals: Residuals, x: Float64Array, j: number, firstStep: number): Float64Array {
  let slopes = new Float64Array(0);
  for (let k = 0, h = firstStep; k <= MOST_SHRINKS; k++, h *= SHRINK) {
    const [near, far] = [quotient(residuals, x, j, h), quotient(residuals, x, j, 2 * h)];
    slopes = near.map((slope, i) => slope + (slope - far[i]!) / 3);
    if (slopes.every(Number.isFinite)) break;
  }
  return slopes;
}

/** r(x + h) − r(x − h), by the distance of the points as the arithmetic has them. */
function quotient(residuals: Residuals, x: Float64Array, j: number, h: number): Float64Array<ArrayBuffer> {
  const moved = (by: number): [Float64Array, number] => {
    const point = x.slice();
    point[j]! += by;
    return [Float64Array.from(residuals(point)), point[j]!];
  };
  const [above, high] = moved(h);
  const [below, low] = moved(-h);
  return Float64Array.from(above, (r, i) => (r - below[i]!) / (high - low));
}
