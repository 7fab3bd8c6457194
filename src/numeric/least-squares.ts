import { columnLengths, dividedColumns } from "./columns.js";
import { householderQr, inverseOfGram } from "./householder-qr.js";
import { type MinimiseOptions, type Minimum, minimiseTerms } from "./minimise-terms.js";
import { residualDifferences } from "./residual-differences.js";
import type { Terms } from "./weighted-terms.js";

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
