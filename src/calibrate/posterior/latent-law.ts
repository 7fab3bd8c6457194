import { choleskySolveInPlace } from "../../numeric/cholesky.js";
import type { RandomStream } from "../../numeric/random-stream.js";
import type { BlockMode } from "../block-mode.js";

/**
 * A normal law of one trial's cut-to-cut errors given the sources: u = centre + follow·(x − about) + d, d of covariance (I + Aᵀ·A)⁻¹.
 * That is what the readings with values say of them, taken as linear at a mode; where nothing is read d is as the prior has it.
 */
export interface LatentLaw {
  readonly latents: number;
  readonly readings: number;
  readonly about: Float64Array;
  readonly centre: Float64Array;
  /** Row-major (latent, source). */
  readonly follow: Float64Array;
  /** A = √ρ″·∂μ/∂u, row-major (reading, latent). */
  readonly a: Float64Array;
  /** Aᵀ·(I + A·Aᵀ)⁻¹, row-major (latent, reading). */
  readonly gain: Float64Array;
  /** Whether any reading tells of the trial here. */
  readonly told: boolean;
}

/** The law of a trial's cut-to-cut errors from its mode at sources `about`; unit: the sources' prior standard deviations, rad or mm. */
export function latentLaw(mode: BlockMode, about: Float64Array, unit: readonly number[]): LatentLaw {
  const { latents, expectation, losses, factor } = mode;
  const [n, r, p] = [latents.length, losses.length, about.length];
  const roots = losses.map(({ curvature }) => Math.sqrt(curvature));
  const a = expectation.byLatent.map((slope, i) => slope * roots[Math.floor(i / n)]!);
  const gain = new Float64Array(n * r);
  for (let k = 0; k < n; k++) {
    const column = Float64Array.from({ length: r }, (_, i) => a[i * n + k]!);
    choleskySolveInPlace(factor, r, column);
    gain.set(column, k * r);
  }
  const follow = new Float64Array(n * p);
  for (let i = 0; i < r; i++) {
    for (let c = 0; c < p; c++) {
      const b = roots[i]! * expectation.bySource[i * p + c]! * unit[c]!;
      if (b === 0) continue;
      for (let k = 0; k < n; k++) follow[k * p + c]! -= gain[k * r + i]! * b;
    }
  }
  return {
    ...{ about, a, gain, follow },
    ...{ latents: n, readings: r, centre: latents, told: roots.some((root) => root > 0) },
  };
}

/** Fills d: η − gain·(A·η + ζ) has covariance (I + AᵀA)⁻¹ for standard normal η and ζ. */
export function drawLatents(
  { latents: n, readings: r, a, gain, told }: LatentLaw,
  stream: RandomStream,
  d: Float64Array,
): void {
  stream.fill(d);
  if (!told) return;
  for (let i = 0; i < r; i++) seen[i] = stream.normal();
  for (let i = 0; i < r; i++) for (let k = 0; k < n; k++) seen[i]! += a[i * n + k]! * d[k]!;
  for (let k = 0; k < n; k++) for (let i = 0; i < r; i++) d[k]! -= gain[k * r + i]! * seen[i]!;
}

/** Private scratch: no trial has more readings. */
const seen = new Float64Array(4096);
