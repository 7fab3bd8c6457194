import {
  addScaled,
  at,
  columnOf,
  entryOf,
  identity,
  minus,
  residual,
  rowOf,
  rowsOf,
  rowTimes,
} from "../../core/numeric/dense.js";
import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";

/** Linear readings of a trial, y = A·u + B·x + noise, each divided by the standard deviation of its noise; u are cut-to-cut errors, x sources in prior standard deviations. */
export interface NormalRows {
  /** Row-major (reading, cut-to-cut error). */
  readonly a: Float64Array;
  /** Row-major (reading, source). */
  readonly b: Float64Array;
  readonly y: Float64Array;
}

/**
 * The distribution of a trial's cut-to-cut errors u given the sources x and linear readings: with the prior u ~ N(0, I) it is normal with mean G·(y − B·x) and
 * covariance I − G·A, where G = AᵀW and W = (I + A·Aᵀ)⁻¹ (linear regression, solved in the space of the readings).
 */
export interface TrialDistribution extends NormalRows {
  readonly latents: number;
  readonly readings: number;
  /** G, row-major (cut-to-cut error, reading). */
  readonly gain: Float64Array;
  /** W, row-major. */
  readonly weight: Float64Array;
  /** The cut-to-cut errors that any reading depends on; rows of G are zero for the others. */
  readonly observed: Int32Array;
  /** Columns of A and rows of G for the observed errors only. */
  readonly observedA: Float64Array;
  readonly observedGain: Float64Array;
  /** L⁻¹ with L·Lᵀ = I + A·Aᵀ, row-major: L⁻¹(y − B·x) is standard normal. */
  readonly whitening: Float64Array;
  /** Working space of one draw: A·η + ζ. */
  readonly misfit: Float64Array;
}

export function trialDistribution(rows: NormalRows, latents: number): TrialDistribution {
  const { a, y } = rows;
  const [n, r] = [latents, y.length];
  const factor = readingSpace(a, r, n);
  // L⁻¹ by forward substitution and W by forward and back substitution, one column of the unit matrix at a time.
  const whitening = identity(r);
  for (const [i, row] of rowsOf(whitening, r).entries()) {
    for (let k = 0; k < i; k++) addScaled(row, rowOf(whitening, k, r), -entryOf(factor, i, k, r));
    const pivot = entryOf(factor, i, i, r);
    for (const [j, value] of row.entries()) row[j] = value / pivot;
  }
  const weight = identity(r);
  const weights = rowsOf(weight, r);
  for (const column of weights) choleskySolveInPlace(factor, r, column);
  const gain = new Float64Array(n * r);
  for (const [k, sum] of rowsOf(gain, r).entries()) {
    for (const [i, row] of weights.entries()) addScaled(sum, row, entryOf(a, i, k, n));
  }
  const observed = Int32Array.from(
    Array.from({ length: n }, (_, k) => k).filter((k) => columnOf(a, k, n).some((slope) => slope !== 0)),
  );
  return {
    ...rows,
    latents: n,
    readings: r,
    gain,
    weight,
    whitening,
    observed,
    misfit: new Float64Array(r),
    observedA: a.filter((_, index) => observed.includes(index % n)),
    observedGain: gain.filter((_, index) => observed.includes(Math.floor(index / r))),
  };
}

/** Mean of the cut-to-cut errors given the sources x. */
export function latentsAt(
  { gain, y, b, latents, readings: r }: TrialDistribution,
  x: Float64Array,
): Float64Array {
  const left = y.map((value, i) => residual(value, rowOf(b, i, x.length), x));
  return Float64Array.from({ length: latents }, (_, k) => rowTimes(gain, k, r, left));
}

/**
 * Cholesky factor of I + A·Aᵀ, row-major (reading, reading), for A of r readings by n cut-to-cut errors. There are far more errors than readings, so systems in the errors are
 * solved in the space of the readings: (I + AᵀA)⁻¹ = I − Aᵀ(I + AAᵀ)⁻¹A.
 */
export function readingSpace(a: Float64Array, r: number, n: number): Float64Array {
  const factor = new Float64Array(r * r);
  for (let i = 0; i < r; i++) {
    const own = rowOf(a, i, n);
    for (let j = 0; j <= i; j++) {
      const sum = rowTimes(a, j, n, own, i === j ? 1 : 0);
      factor[i * r + j] = sum;
      factor[j * r + i] = sum;
    }
  }
  choleskyInPlace(factor, r, 0);
  return factor;
}

/** Mean and covariance (row-major) of the sources, in their prior standard deviations. */
export interface SourceDistribution {
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
}

/** Share of each variance added to the diagonal, because the covariance of fewer draws than sources is singular. */
const LEAST_OWN_SHARE = 1e-6;

/** Mean and covariance of a sample, row-major (draw, source); the covariance is multiplied by `inflation`, default 1. */
export function momentsOf(sample: Float64Array, p: number, inflation = 1): SourceDistribution {
  const draws = sample.length / p;
  const rows = rowsOf(sample, p);
  const mean = new Float64Array(p);
  for (const row of rows) for (const [i, value] of row.entries()) mean[i] = at(mean, i) + value / draws;
  const covariance = new Float64Array(p * p);
  const sums = rowsOf(covariance, p);
  for (const row of rows) {
    const deviations = minus(row, mean);
    for (const [i, sum] of sums.entries())
      addScaled(sum, deviations, (inflation * at(deviations, i)) / draws);
  }
  return {
    mean,
    covariance: covariance.map((value, k) => (k % (p + 1) === 0 ? value * (1 + LEAST_OWN_SHARE) : value)),
  };
}
