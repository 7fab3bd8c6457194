import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";

/** Linear readings of a trial, y = A·u + B·x + noise, each divided by the noise's standard deviation; u cut-to-cut errors, x sources in prior standard deviations. */
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
  /** Columns of A and rows of G for these alone. */
  readonly observedA: Float64Array;
  readonly observedGain: Float64Array;
  /** L⁻¹ with L·Lᵀ = I + A·Aᵀ, row-major: L⁻¹(y − B·x) is standard normal. */
  readonly whitening: Float64Array;
  /** Working space of one draw: η of the observed errors, and A·η + ζ + B·x. */
  readonly eta: Float64Array;
  readonly misfit: Float64Array;
}

export function trialDistribution(rows: NormalRows, latents: number): TrialDistribution {
  const { a, y } = rows;
  const [n, r] = [latents, y.length];
  const factor = readingSpace(a, r, n);
  const [weight, whitening] = [new Float64Array(r * r), new Float64Array(r * r)];
  for (let j = 0; j < r; j++) {
    const column = new Float64Array(r);
    column[j] = 1;
    for (let i = j; i < r; i++) {
      for (let k = j; k < i; k++) column[i]! -= factor[i * r + k]! * column[k]!;
      column[i]! /= factor[i * r + i]!;
      whitening[i * r + j] = column[i]!;
    }
    const solved = new Float64Array(r);
    solved[j] = 1;
    choleskySolveInPlace(factor, r, solved);
    weight.set(solved, j * r);
  }
  const gain = new Float64Array(n * r);
  for (let i = 0; i < r; i++) {
    for (let j = 0; j < r; j++) {
      const w = weight[i * r + j]!;
      for (let k = 0; k < n; k++) gain[k * r + j]! += a[i * n + k]! * w;
    }
  }
  const observed = Int32Array.from(
    Array.from({ length: n }, (_, k) => k).filter((k) => isObserved(a, r, n, k)),
  );
  return {
    ...{ ...rows, latents: n, readings: r, gain, weight, whitening, observed },
    ...{ eta: new Float64Array(observed.length), misfit: new Float64Array(r) },
    observedA: Float64Array.from({ length: r * observed.length }, (_, at) => {
      return a[Math.floor(at / observed.length) * n + observed[at % observed.length]!]!;
    }),
    observedGain: Float64Array.from({ length: observed.length * r }, (_, at) => {
      return gain[observed[Math.floor(at / r)]! * r + (at % r)]!;
    }),
  };
}

function isObserved(a: Float64Array, r: number, n: number, k: number): boolean {
  for (let i = 0; i < r; i++) if (a[i * n + k] !== 0) return true;
  return false;
}

/** Mean of the cut-to-cut errors given the sources x. */
export function latentsAt(
  { gain, y, b, latents, readings: r }: TrialDistribution,
  x: Float64Array,
): Float64Array {
  const left = y.map((value, i) => x.reduce((sum, at, c) => sum - b[i * x.length + c]! * at, value));
  return Float64Array.from({ length: latents }, (_, k) =>
    left.reduce((sum, value, i) => sum + gain[k * r + i]! * value, 0),
  );
}

/**
 * Draws u given x, both as differences from the centre of the reference Gaussian: x are the first p numbers of the point, u is written at `latents` and A·u + B·x at `seen`.
 * With η and ζ standard normal and s = A·η + ζ + B·x, u = η − G·s has that distribution, and A·u + B·x = W·s − ζ
 * (Y. Hoffman and E. Ribak, Astrophys. J. 380, 1991: a constrained realisation).
 */
export function drawTrial(
  { latents: n, readings: r, b, weight, observed, observedA, observedGain, eta, misfit }: TrialDistribution,
  stream: RandomStream,
  point: Float64Array,
  { latents, seen }: { readonly latents: number; readonly seen: number },
): void {
  for (let k = 0; k < n; k++) point[latents + k] = stream.normal();
  if (r === 0) return;
  const [p, m] = [b.length / r, observed.length];
  for (let j = 0; j < m; j++) eta[j] = point[latents + observed[j]!]!;
  for (let i = 0; i < r; i++) {
    const zeta = stream.normal();
    let sum = zeta;
    for (let j = 0; j < m; j++) sum += observedA[i * m + j]! * eta[j]!;
    for (let c = 0; c < p; c++) sum += b[i * p + c]! * point[c]!;
    misfit[i] = sum;
    point[seen + i] = -zeta;
  }
  for (let j = 0; j < m; j++) {
    let sum = 0;
    for (let i = 0; i < r; i++) sum += observedGain[j * r + i]! * misfit[i]!;
    point[latents + observed[j]!] = eta[j]! - sum;
  }
  for (let i = 0; i < r; i++) {
    let sum = 0;
    for (let j = 0; j < r; j++) sum += weight[i * r + j]! * misfit[j]!;
    point[seen + i]! += sum;
  }
}

/** Writes A·u + B·x, computed from u and x. */
export function completeTrial(
  { latents: n, readings: r, a, b }: TrialDistribution,
  point: Float64Array,
  { latents, seen }: { readonly latents: number; readonly seen: number },
): void {
  const p = b.length / r;
  for (let i = 0; i < r; i++) {
    let sum = 0;
    for (let k = 0; k < n; k++) sum += a[i * n + k]! * point[latents + k]!;
    for (let c = 0; c < p; c++) sum += b[i * p + c]! * point[c]!;
    point[seen + i] = sum;
  }
}

/**
 * Cholesky factor of I + A·Aᵀ, row-major (reading, reading), for A of r readings by n cut-to-cut errors. There are far more errors than readings, so systems in the errors are
 * solved in the space of the readings: (I + AᵀA)⁻¹ = I − Aᵀ(I + AAᵀ)⁻¹A.
 */
export function readingSpace(a: Float64Array, r: number, n: number): Float64Array {
  const factor = new Float64Array(r * r);
  for (let i = 0; i < r; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = i === j ? 1 : 0;
      for (let k = 0; k < n; k++) sum += a[i * n + k]! * a[j * n + k]!;
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

/** Share of each variance added to the diagonal: the covariance of fewer draws than sources is singular. */
const LEAST_OWN_SHARE = 1e-6;

/** Mean and covariance of a sample, row-major (draw, source); the covariance is multiplied by `inflation`, default 1. */
export function momentsOf(sample: Float64Array, p: number, inflation = 1): SourceDistribution {
  const draws = sample.length / p;
  const mean = new Float64Array(p);
  for (let i = 0; i < sample.length; i++) mean[i % p]! += sample[i]! / draws;
  const covariance = new Float64Array(p * p);
  for (let d = 0; d < draws; d++) {
    for (let i = 0; i < p; i++) {
      const share = (inflation * (sample[d * p + i]! - mean[i]!)) / draws;
      for (let j = 0; j < p; j++) covariance[i * p + j]! += share * (sample[d * p + j]! - mean[j]!);
    }
  }
  for (let i = 0; i < p; i++) covariance[i * p + i]! *= 1 + LEAST_OWN_SHARE;
  return { mean, covariance };
}
