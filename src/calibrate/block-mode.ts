import type { Job } from "../job/job.js";
import { choleskyInPlace, choleskySolveInPlace } from "../numeric/cholesky.js";
import { mistrustfulLoss, type ReadingLoss } from "../readings/reading-loss.js";
import { type BlockExpectation, expectBlock, expectValues, type TrialBlock } from "./trial-blocks.js";

/** The most probable cut-to-cut errors of a trial at given sources. */
export interface BlockMode {
  readonly latents: Float64Array;
  readonly expectation: BlockExpectation;
  readonly losses: readonly (ReadingLoss & { readonly good: number })[];
  /** −log likelihood of the readings and ½ Σ latents². */
  readonly value: number;
  /** Cholesky factor of I + A·Aᵀ with A = √ρ″·∂μ/∂latent, in the space of the readings, row-major. */
  readonly factor: Float64Array;
}

const MOST_STEPS = 40;
/** Ends when no cut-to-cut error would move by more than this share of its standard deviation. */
const STILL = 1e-7;
/** … or the log likelihood would rise by less than this: far less than anything reads of it. */
const NO_FALL = 1e-11;
const LEAST_SHARE = 1 / 64;

/**
 * The mode over a trial's cut-to-cut errors by damped generalised Gauss–Newton. There are far more errors than readings, so each step is solved in the space of
 * the readings: (I + AᵀA)⁻¹g = g − Aᵀ(I + AAᵀ)⁻¹A·g.
 */
export function blockMode(
  job: Job,
  block: TrialBlock,
  sources: Float64Array,
  start: Float64Array,
): BlockMode {
  let at = look(job, block, sources, start);
  for (let step = 0; step < MOST_STEPS; step++) {
    const { direction, promised } = gaussNewton(at, block);
    const largest = direction.reduce((most, d) => Math.max(most, Math.abs(d)), 0);
    if (largest <= STILL || promised <= NO_FALL) break;
    const next = shorten(job, block, sources, at, direction);
    if (next === null) break;
    at = next;
  }
  return at;
}

function look(job: Job, block: TrialBlock, sources: Float64Array, latents: Float64Array): BlockMode {
  const expectation = expectBlock(job, block, sources, latents);
  const losses = block.readings.map((reading, i) =>
    mistrustfulLoss(reading, expectation.mu[i]!, block.noise[i]!, job.mistakes),
  );
  const value =
    losses.reduce((sum, loss) => sum + loss.value, 0) + latents.reduce((sum, v) => sum + (v * v) / 2, 0);
  return { latents, expectation, losses, value, factor: readingSpace(expectation, losses, block.latents) };
}

function readingSpace(
  { byLatent }: BlockExpectation,
  losses: readonly ReadingLoss[],
  n: number,
): Float64Array {
  const r = losses.length;
  const out = new Float64Array(r * r);
  for (let i = 0; i < r; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = 0;
      for (let k = 0; k < n; k++) sum += byLatent[i * n + k]! * byLatent[j * n + k]!;
      const root = Math.sqrt(losses[i]!.curvature * losses[j]!.curvature);
      out[i * r + j] = root * sum + (i === j ? 1 : 0);
      out[j * r + i] = out[i * r + j]!;
    }
  }
  choleskyInPlace(out, r, 0);
  return out;
}

/** The step, and the fall of the value that it promises: half its slope. */
function gaussNewton(
  { latents, expectation, losses, factor }: BlockMode,
  block: TrialBlock,
): { direction: Float64Array; promised: number } {
  const n = block.latents;
  const { byLatent } = expectation;
  const gradient = Float64Array.from(latents);
  for (const [i, { slope }] of losses.entries()) {
    for (let k = 0; k < n; k++) gradient[k]! += slope * byLatent[i * n + k]!;
  }
  const inReadings = Float64Array.from(losses, ({ curvature }, i) => {
    let sum = 0;
    for (let k = 0; k < n; k++) sum += byLatent[i * n + k]! * gradient[k]!;
    return Math.sqrt(curvature) * sum;
  });
  choleskySolveInPlace(factor, losses.length, inReadings);
  const step = gradient.map((g) => -g);
  for (const [i, { curvature }] of losses.entries()) {
    const pull = Math.sqrt(curvature) * inReadings[i]!;
    for (let k = 0; k < n; k++) step[k]! += pull * byLatent[i * n + k]!;
  }
  const promised = -step.reduce((sum, d, k) => sum + d * gradient[k]!, 0) / 2;
  return { direction: step, promised };
}

/** The step, halved until the value falls; `null` when it does not. Only the values are looked at until a share is taken. */
function shorten(
  job: Job,
  block: TrialBlock,
  sources: Float64Array,
  from: BlockMode,
  direction: Float64Array,
): BlockMode | null {
  for (let share = 1; share >= LEAST_SHARE; share /= 2) {
    const latents = from.latents.map((v, k) => v + share * direction[k]!);
    if (blockLoss(job, block, sources, latents) < from.value) return look(job, block, sources, latents);
  }
  return null;
}

/** −log likelihood of a trial's readings and ½ Σ latents², at given sources (rad and mm) and standardised cut-to-cut errors. */
export function blockLoss(job: Job, block: TrialBlock, sources: Float64Array, latents: Float64Array): number {
  const mu = expectValues(job, block, sources, latents);
  let value = 0;
  for (const [i, reading] of block.readings.entries())
    value += mistrustfulLoss(reading, mu[i]!, block.noise[i]!, job.mistakes).value;
  for (const v of latents) value += (v * v) / 2;
  return value;
}
