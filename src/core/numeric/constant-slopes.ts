import { at } from "./dense.js";
import { columnLengths, lengthOf } from "./linear-algebra.js";

/** Two slopes of a linear model agree to this share of their size; those of a nonlinear one differ by far more over the steps taken. */
const SAME = 1e-7;

/**
 * The constant slopes ∂r_i/∂x, row-major, of residuals that are linear in all unknowns together; `null` where they are not, or not finite a step away.
 *
 * Steps are wide: large enough to move the residuals by their own length, or as large as the unknown. Rounding then hardly affects the slopes, whereas those of small steps
 * have a relative accuracy of only about 1e-11, which costs an ill-conditioned fit (a polynomial of high degree) most of its digits.
 *
 * @param here the residuals at `x`
 */
export function constantSlopes(
  residuals: (x: Float64Array) => ArrayLike<number>,
  x: Float64Array,
  here: ArrayLike<number>,
): Float64Array | null {
  const n = x.length;
  const moved = (steps: Float64Array, share: number): Float64Array =>
    Float64Array.from(residuals(x.map((value, j) => value + share * at(steps, j))));
  const along = (j: number, step: number): Float64Array => {
    const only = new Float64Array(n);
    only[j] = step;
    const [up, down] = [moved(only, 1), moved(only, -1)];
    return up.map((r, i) => (r - at(down, i)) / (2 * step));
  };
  const size = lengthOf(here);
  const steps = new Float64Array(n);
  const columns: Float64Array[] = [];
  for (let j = 0; j < n; j++) {
    const first = Math.abs(at(x, j)) || 1;
    const near = along(j, first);
    const step = Math.max(first, size / lengthOf(near));
    const [column, far] = [along(j, step), along(j, 2 * step)];
    const apart = lengthOf(column.map((slope, i) => slope - at(far, i)));
    if (!(step < Number.POSITIVE_INFINITY && apart <= SAME * lengthOf(column))) return null;
    steps[j] = step;
    columns.push(column);
  }
  const slopes = Float64Array.from({ length: here.length * n }, (_, k) =>
    at(at(columns, k % n), Math.floor(k / n)),
  );
  // Residuals may be linear along each unknown but contain products of unknowns, so all are moved at once.
  const together = moved(steps, 1);
  const expected = together.map((_, i) =>
    columns.reduce((sum, column, j) => sum + at(column, i) * at(steps, j), at(here, i)),
  );
  const scale = lengthOf(columnLengths(slopes, n).map((length, j) => length * at(steps, j)));
  return lengthOf(together.map((r, i) => r - at(expected, i))) <= SAME * (scale + size) ? slopes : null;
}
