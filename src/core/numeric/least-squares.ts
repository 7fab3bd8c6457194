import { columnLengths, dividedColumns, householderQr, inverseOfGram, lengthOf } from "./linear-algebra.js";
import { type MinimiseOptions, type Minimum, minimiseTerms, type Terms } from "./minimise-terms.js";

/** Residuals to make small, from the values in `start` on; each unknown in a unit of the caller's own. */
export interface LeastSquaresProblem {
  /** Residuals r_i(x), model minus observation, already divided by their standard deviations where these differ. */
  readonly residuals: (x: Float64Array) => ArrayLike<number>;
  /** ∂r_i/∂x, unit of a residual by unit of an unknown, row-major; differences over four points when absent. */
  readonly jacobian?: (x: Float64Array) => ArrayLike<number>;
  /** Where the search begins, each unknown in its own unit. */
  readonly start: ArrayLike<number>;
}

/** Where the sum of squares is least, and how sure that is: `standardDeviations` in the units of the unknowns, `null` where `covariance` is. */
export interface LeastSquaresFit extends Minimum {
  /** Σ r². */
  readonly sumOfSquares: number;
  /** Number of residuals less that of unknowns. */
  readonly degreesOfFreedom: number;
  /** s = √(Σ r² / degrees of freedom); NaN when there are none. */
  readonly residualStandardDeviation: number;
  /** s²·(JᵀJ)⁻¹, row-major; `null` when the data do not determine every unknown, or leave no degree of freedom to tell the scatter by. */
  readonly covariance: Float64Array | null;
  readonly standardDeviations: Float64Array | null;
}

/**
 * Nonlinear least squares: least ½ Σ r².
 *
 * @throws RangeError when the start is empty or has no finite value, or the Jacobian does not fit.
 * @example
 * const [x, y] = [[0, 1, 2], [1.1, 2.9, 5.1]];
 * leastSquares({ residuals: ([a, b]) => x.map((xi, i) => a + b * xi - y[i]), start: [0, 1] }).x[1] // 2
 */
export function leastSquares(problem: LeastSquaresProblem, options: MinimiseOptions = {}): LeastSquaresFit {
  const { residuals, start } = problem;
  const jacobian: (x: Float64Array, at: Float64Array) => ArrayLike<number> =
    problem.jacobian ?? residualDifferences(residuals);
  const evaluate = (x: Float64Array): Terms => {
    const slope = Float64Array.from(residuals(x));
    const value = slope.reduce((sum, r) => sum + (r * r) / 2, 0);
    const curvature = new Float64Array(slope.length).fill(1);
    const finite = Number.isFinite(value);
    const slopes = finite ? Float64Array.from(jacobian(x, slope)) : new Float64Array(slope.length * x.length);
    return { value, slope, curvature, jacobian: slopes };
  };
  const minimum = minimiseTerms(evaluate, start, options);
  const { terms, x } = minimum;
  const sumOfSquares = 2 * terms.value;
  const degreesOfFreedom = terms.slope.length - x.length;
  const s2 = degreesOfFreedom > 0 ? sumOfSquares / degreesOfFreedom : Number.NaN;
  const inverse = inverseGram(terms, x.length);
  const covariance = degreesOfFreedom > 0 && inverse ? inverse.map((g) => g * s2) : null;
  return {
    ...minimum,
    sentence: minimum.sentence + caveat(inverse !== null, degreesOfFreedom),
    sumOfSquares,
    degreesOfFreedom,
    residualStandardDeviation: Math.sqrt(s2),
    covariance,
    standardDeviations: covariance && x.map((_, i) => Math.sqrt(covariance[i * x.length + i]!)),
  };
}

function caveat(determined: boolean, degreesOfFreedom: number): string {
  if (!determined) return " The data do not determine every unknown.";
  return degreesOfFreedom > 0 ? "" : " There are no more data than unknowns, so nothing tells the scatter.";
}

/** (JᵀJ)⁻¹, by way of columns of length one, so that the unknowns' units decide nothing. */
function inverseGram({ jacobian, slope }: Terms, n: number): Float64Array | null {
  const lengths = columnLengths(jacobian, n);
  if (lengths.some((length) => length === 0)) return null;
  const triangle = householderQr(dividedColumns(jacobian, lengths), slope.length, n, slope);
  return inverseOfGram(triangle)?.map((g, k) => g / lengths[Math.floor(k / n)]! / lengths[k % n]!) ?? null;
}

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
