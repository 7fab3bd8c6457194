import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";

/** Readings of a trial taken as linear and normal, y = A·u + B·x + noise, each divided by its noise's standard deviation; x in prior standard deviations. */
export interface NormalRows {
  /** Row-major (reading, cut-to-cut error). */
  readonly a: Float64Array;
  /** Row-major (reading, source). */
  readonly b: Float64Array;
  readonly y: Float64Array;
}

/** The normal law of a trial's cut-to-cut errors u given the sources x, under their prior and such readings: mean G·(y − B·x), G = AᵀW, covariance I − G·A, with W = (I + A·Aᵀ)⁻¹. */
export interface TrialDistribution extends NormalRows {
  readonly latents: number;
  readonly readings: number;
  /** G, row-major (cut-to-cut error, reading). */
  readonly gain: Float64Array;
  /** W, row-major. */
  readonly weight: Float64Array;
  /** The cut-to-cut errors that any reading tells of: G is zero for others. */
  readonly observed: Int32Array;
  /** A and G of these alone. */
  readonly observedA: Float64Array;
  readonly observedGain: Float64Array;
  /** L⁻¹ with L·Lᵀ = I + A·Aᵀ, row-major: L⁻¹(y − B·x) is standard normal. */
  readonly whitening: Float64Array;
  /** Scratch of one draw: η of these, and A·η + ζ + B·x. */
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

/** Mean of the cut-to-cut errors at given sources. */
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
 * Draws differences from the mean at the frame's centre, for sources that differ by the first p numbers of the point: u to place `latents`, and A·u + B·x to place `seen`.
 * With η and ζ standard normal and s = A·η + ζ + B·x, u = η − G·s has the right law, and A·u + B·x is W·s − ζ.
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

/** Works A·u + B·x out from u and x. */
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
 * Cholesky factor of I + A·Aᵀ, row-major (reading, reading), for A of r readings by n cut-to-cut errors: there are far more of these than readings, so what they ask for is solved in the
 * space of the readings, (I + AᵀA)⁻¹ = I − Aᵀ(I + AAᵀ)⁻¹A.
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

/** A normal law of the sources, in their prior standard deviations; row-major covariance. */
export interface SourceDistribution {
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
}

/** At least this share of each variance is a source's own: a sample of few draws may lie in a plane. */
const LEAST_OWN_SHARE = 1e-6;

/** Mean and covariance of a sample, row-major (draw, number); the covariance `wider` times what it is, default 1. */
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
