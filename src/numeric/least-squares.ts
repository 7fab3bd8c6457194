import { householderQr, inverseOfGram } from "./householder-qr.js";
import { type MinimiseOptions, type Minimum, minimiseTerms, type Terms } from "./minimise-terms.js";

export interface LeastSquaresProblem {
  /** Residuals r_i(x), model minus observation, already divided by their standard deviations where these differ. */
  readonly residuals: (x: Float64Array) => ArrayLike<number>;
  /** ∂r_i/∂x, row-major; central differences when absent. */
  readonly jacobian?: (x: Float64Array) => ArrayLike<number>;
  readonly start: ArrayLike<number>;
}

export interface LeastSquaresFit extends Minimum {
  /** Σ r². */
  readonly sumOfSquares: number;
  readonly degreesOfFreedom: number;
  /** √(Σ r² / degrees of freedom). */
  readonly residualStandardDeviation: number;
  /** s²·(JᵀJ)⁻¹, row-major; `null` when the data do not determine every unknown. */
  readonly covariance: Float64Array | null;
  readonly standardDeviations: Float64Array | null;
}

/** Nonlinear least squares: least ½ Σ r². */
export function leastSquares(problem: LeastSquaresProblem, options: MinimiseOptions = {}): LeastSquaresFit {
  const { residuals, start } = problem;
  const jacobian = problem.jacobian ?? ((x: Float64Array) => centralDifferences(residuals, x));
  const evaluate = (x: Float64Array): Terms => {
    const slope = Float64Array.from(residuals(x));
    const value = slope.reduce((sum, r) => sum + (r * r) / 2, 0);
    const finite = Number.isFinite(value);
    return {
      value,
      slope,
      curvature: new Float64Array(slope.length).fill(1),
      jacobian: finite ? Float64Array.from(jacobian(x)) : new Float64Array(slope.length * x.length),
    };
  };
  const minimum = minimiseTerms(evaluate, start, options);
  const { terms, x } = minimum;
  const sumOfSquares = 2 * terms.value;
  const degreesOfFreedom = terms.slope.length - x.length;
  const s2 = sumOfSquares / degreesOfFreedom;
  const gram = inverseOfGram(householderQr(terms.jacobian, terms.slope.length, x.length, terms.slope));
  const covariance = gram?.map((g) => g * s2) ?? null;
  return {
    ...minimum,
    sumOfSquares,
    degreesOfFreedom,
    residualStandardDeviation: Math.sqrt(s2),
    covariance,
    standardDeviations: covariance && x.map((_, i) => Math.sqrt(covariance[i * x.length + i]!)),
  };
}

/** Step of a central difference as a share of the unknown: ∛ε balances rounding against curvature. */
const SHARE = Math.cbrt(Number.EPSILON);

/** ∂f_i/∂x by central differences, row-major. */
export function centralDifferences(
  f: (x: Float64Array) => ArrayLike<number>,
  x: Float64Array,
  smallest = 1e-8,
): Float64Array {
  const n = x.length;
  let out: Float64Array | null = null;
  for (let j = 0; j < n; j++) {
    const h = SHARE * Math.max(Math.abs(x[j]!), smallest);
    const [up, down] = [1, -1].map((sign) => {
      const moved = x.slice();
      moved[j] = x[j]! + sign * h;
      return { at: moved[j]!, values: f(moved) };
    });
    out ??= new Float64Array(up!.values.length * n);
    for (let i = 0; i < up!.values.length; i++)
      out[i * n + j] = (up!.values[i]! - down!.values[i]!) / (up!.at - down!.at);
  }
  return out ?? new Float64Array(0);
}
