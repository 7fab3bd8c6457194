import { constantSlopes } from "./constant-slopes.js";
import { at } from "./dense.js";
import { columnLengths, dividedColumns, householderQr, inverseOfGram, lengthOf } from "./linear-algebra.js";
import { type MinimiseOptions, type Minimum, minimiseTerms, type Terms } from "./minimise-terms.js";

/** A least squares problem; each unknown is in any unit of the caller's. */
export interface LeastSquaresProblem {
  /** Residuals r_i(x), model minus observation, already divided by their standard deviations where these differ. */
  readonly residuals: (x: Float64Array) => ArrayLike<number>;
  /**
   * ∂r_i/∂x, unit of a residual per unit of an unknown, row-major. When absent, residuals that are linear in all unknowns are recognised and have their constant slopes; others get
   * four-point differences, and a fit so ill-conditioned that these do not determine it says that it has not converged.
   */
  readonly jacobian?: (x: Float64Array) => ArrayLike<number>;
  /** Starting point, each unknown in its own unit. */
  readonly start: ArrayLike<number>;
}

/** The least squares fit and its uncertainty; `standardDeviations` are in the units of the unknowns, and `null` when `covariance` is. */
export interface LeastSquaresFit extends Minimum {
  /** Σ r². */
  readonly sumOfSquares: number;
  /** Number of residuals minus number of unknowns. */
  readonly degreesOfFreedom: number;
  /** s = √(Σ r² / degrees of freedom); NaN when there are none. */
  readonly residualStandardDeviation: number;
  /** s²·(JᵀJ)⁻¹, row-major; `null` when the data do not determine every unknown, or leave no degree of freedom to estimate the scatter. */
  readonly covariance: Float64Array | null;
  readonly standardDeviations: Float64Array | null;
}

/**
 * Nonlinear least squares: minimises ½ Σ r².
 *
 * @throws RangeError when the start is empty or has no finite value, or the Jacobian does not fit.
 * @example
 * const [x, y] = [[0, 1, 2], [1.1, 2.9, 5.1]];
 * leastSquares({ residuals: ([a, b]) => x.map((xi, i) => a + b * xi - y[i]), start: [0, 1] }).x[1] // 2
 */
export function leastSquares(problem: LeastSquaresProblem, options: MinimiseOptions = {}): LeastSquaresFit {
  const { residuals, start } = problem;
  const linear = problem.jacobian ? null : slopesIfLinear(residuals, Float64Array.from(start));
  const jacobian: (x: Float64Array, at: Float64Array) => ArrayLike<number> =
    problem.jacobian ?? (linear ? () => linear : residualDifferences(residuals));
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
  const byDifferences = !problem.jacobian && !linear;
  const vague = byDifferences && inflation(inverse, terms, x.length) > MOST_INFLATION;
  return {
    ...minimum,
    converged: minimum.converged && !vague,
    sentence: vague ? VAGUE : minimum.sentence + caveat(inverse !== null, degreesOfFreedom),
    sumOfSquares,
    degreesOfFreedom,
    residualStandardDeviation: Math.sqrt(s2),
    covariance,
    standardDeviations: covariance && x.map((_, i) => Math.sqrt(at(covariance, i * x.length + i))),
  };
}

/** Differences know slopes to some 1e-11; times this, no more than two or three digits would be right. */
const MOST_INFLATION = 1e8;
const VAGUE =
  "Not converged: the unknowns are so nearly dependent that slopes by differences do not determine them; give exact slopes.";

/** Largest factor by which the dependence of the columns widens the standard deviation of an unknown; 1 for columns at right angles. */
function inflation(inverse: Float64Array | null, { jacobian }: Terms, n: number): number {
  if (inverse === null) return 1;
  const lengths = columnLengths(jacobian, n);
  return Math.max(...lengths.map((length, j) => length * Math.sqrt(at(inverse, j * n + j))));
}

function slopesIfLinear(residuals: Residuals, start: Float64Array): Float64Array | null {
  const here = Float64Array.from(residuals(start.slice()));
  return start.length > 0 && here.every(Number.isFinite) ? constantSlopes(residuals, start, here) : null;
}

function caveat(determined: boolean, degreesOfFreedom: number): string {
  if (!determined) return " The data do not determine every unknown.";
  return degreesOfFreedom > 0 ? "" : " There are no more data than unknowns, so nothing tells the scatter.";
}

/** (JᵀJ)⁻¹, computed with columns scaled to length one so that the unknowns' units do not matter. */
function inverseGram({ jacobian, slope }: Terms, n: number): Float64Array | null {
  const lengths = columnLengths(jacobian, n);
  if (lengths.some((length) => length === 0)) return null;
  const triangle = householderQr(dividedColumns(jacobian, lengths), slope.length, n, slope);
  return (
    inverseOfGram(triangle)?.map((g, k) => g / at(lengths, Math.floor(k / n)) / at(lengths, k % n)) ?? null
  );
}

export type Residuals = (x: Float64Array) => ArrayLike<number>;

/** Smaller of the two steps of a difference, as a share of the unknown: it balances rounding (ε/share) against the truncation error of four points (share⁴). */
const SHARE = 1e-4;
/** Factor by which steps shrink when the residuals are not finite there … */
const SHRINK = 1e-2;
/** … and the most times that they do. */
const MOST_SHRINKS = 3;

/**
 * Returns a function that computes ∂r_i/∂x, row-major, by four-point differences, [8(r(h) − r(−h)) − (r(2h) − r(−2h))]/12h.
 *
 * A step is a share of its unknown's size. The size of an unknown near zero is taken to be the change that would move the residuals by their own length,
 * but at most the largest value it has had (or 1 if it has always been zero), so the function keeps a state.
 *
 * @param evaluated at x ± h and x ± 2h, one unknown at a time; if they are not finite the step is shortened.
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
    slopes = near.map((slope, i) => slope + (slope - at(far, i)) / 3);
    if (slopes.every(Number.isFinite)) break;
  }
  return slopes;
}

/** r(x + h) − r(x − h), divided by the distance of the points as rounded. */
function quotient(residuals: Residuals, x: Float64Array, j: number, h: number): Float64Array<ArrayBuffer> {
  const moved = (by: number): [Float64Array, number] => {
    const point = x.slice();
    point[j]! += by;
    return [Float64Array.from(residuals(point)), at(point, j)];
  };
  const [above, high] = moved(h);
  const [below, low] = moved(-h);
  return Float64Array.from(above, (r, i) => (r - at(below, i)) / (high - low));
}
