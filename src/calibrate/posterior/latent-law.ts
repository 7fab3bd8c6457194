import { choleskyInPlace, choleskySolveInPlace } from "../../numeric/cholesky.js";
import type { RandomStream } from "../../numeric/random-stream.js";
import type { BlockMode } from "../block-mode.js";

/**
 * A normal law of one trial's cut-to-cut errors given the sources: u = centre + follow·(x − about) + d, d of covariance (I + Aᵀ·A)⁻¹.
 * That is what readings say of them, taken as linear and normal; where nothing is read d is as the prior has it.
 */
export interface LatentLaw {
  readonly latents: number;
  /** Readings that tell anything. */
  readonly readings: number;
  readonly about: Float64Array;
  readonly centre: Float64Array;
  /** Row-major (latent, source). */
  readonly follow: Float64Array;
  /** A = √ρ″·∂μ/∂u, row-major (reading, latent). */
  readonly a: Float64Array;
  /** Aᵀ·(I + A·Aᵀ)⁻¹, row-major (latent, reading). */
  readonly gain: Float64Array;
}

/** Readings of a trial as linear and normal: curvatures ρ″ of −log likelihood by μ, and the slopes of μ. */
export interface LinearisedTrial {
  /** The cut-to-cut errors expected at sources `about`, in prior standard deviations. */
  readonly centre: Float64Array;
  readonly about: Float64Array;
  readonly curvature: ArrayLike<number>;
  /** ∂μ/∂latent, row-major (reading, latent). */
  readonly byLatent: Float64Array;
  /** ∂μ/∂source, row-major (reading, source), mm or rad per mm or rad. */
  readonly bySource: Float64Array;
}

/** @param unit the sources' prior standard deviations, rad or mm. */
export function latentLaw(
  { centre, about, curvature, byLatent, bySource }: LinearisedTrial,
  unit: readonly number[],
): LatentLaw {
  const [n, p] = [centre.length, about.length];
  const telling = Array.from(curvature, (_, i) => i).filter((i) => curvature[i]! > 0);
  const r = telling.length;
  const a = new Float64Array(r * n);
  for (const [row, i] of telling.entries()) {
    const root = Math.sqrt(curvature[i]!);
    for (let k = 0; k < n; k++) a[row * n + k] = root * byLatent[i * n + k]!;
  }
  const gain = gainOf(a, r, n);
  const follow = new Float64Array(n * p);
  for (const [row, i] of telling.entries()) {
    for (let c = 0; c < p; c++) {
      const b = Math.sqrt(curvature[i]!) * bySource[i * p + c]! * unit[c]!;
      if (b === 0) continue;
      for (let k = 0; k < n; k++) follow[k * p + c]! -= gain[k * r + row]! * b;
    }
  }
  return { about, a, gain, follow, centre, latents: n, readings: r };
}

/** The law from a trial's mode at sources `about`. */
export const lawAtMode = (
  { latents, expectation, losses }: BlockMode,
  about: Float64Array,
  unit: readonly number[],
): LatentLaw => {
  const curvature = losses.map((loss) => loss.curvature);
  return latentLaw({ ...expectation, centre: latents, about, curvature }, unit);
};

function gainOf(a: Float64Array, r: number, n: number): Float64Array {
  const factor = new Float64Array(r * r);
  for (let i = 0; i < r; i++) {
    for (let j = 0; j < r; j++) {
      let sum = i === j ? 1 : 0;
      for (let k = 0; k < n; k++) sum += a[i * n + k]! * a[j * n + k]!;
      factor[i * r + j] = sum;
    }
  }
  choleskyInPlace(factor, r, 0);
  const gain = new Float64Array(n * r);
  for (let k = 0; k < n; k++) {
    const column = Float64Array.from({ length: r }, (_, i) => a[i * n + k]!);
    choleskySolveInPlace(factor, r, column);
    gain.set(column, k * r);
  }
  return gain;
}

/** Fills d: η − gain·(A·η + ζ) has covariance (I + AᵀA)⁻¹ for standard normal η and ζ. */
export function drawLatents(
  { latents: n, readings: r, a, gain }: LatentLaw,
  stream: RandomStream,
  d: Float64Array,
): void {
  stream.fill(d);
  for (let i = 0; i < r; i++) {
    let sum = stream.normal();
    for (let k = 0; k < n; k++) sum += a[i * n + k]! * d[k]!;
    seen[i] = sum;
  }
  for (let k = 0; k < n; k++) for (let i = 0; i < r; i++) d[k]! -= gain[k * r + i]! * seen[i]!;
}

/** Private scratch: no trial has more readings. */
const seen = new Float64Array(4096);
