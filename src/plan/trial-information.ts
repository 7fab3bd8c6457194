import { sourcesOf } from "../calibrate/specimen.js";
import { expectBlock, trialBlocks } from "../calibrate/trial-blocks.js";
import type { Job } from "../job/job.js";
import { choleskyInPlace } from "../numeric/cholesky.js";
import { createStream } from "../numeric/random-stream.js";
import { orNothing } from "../predict/or-nothing.js";
import type { Reading } from "../readings/reading.js";
import { equivalentVariance } from "./interval-information.js";

/** What every reading of one trial would tell in one scenario. Sources are counted in units of their prior standard deviation. */
interface Told {
  /** ∂μ/∂source over the noise's standard deviation, row-major (reading, source). */
  readonly bySource: Float64Array;
  /** Covariance of the readings through the pieces' cut-to-cut errors, over the noise's, row-major (reading, reading). */
  readonly shared: Float64Array;
}

/** Readings of one trial, and what any of them together tell. */
export interface TrialInformation {
  readonly readings: readonly Reading[];
  /** Information of some of the readings (by their places), one matrix (sources × sources, row-major) a scenario. */
  of(places: readonly number[]): Float64Array[];
}

/**
 * What the readings of one trial would tell of the sources, in each scenario. A value with noise τ tells 1/τ² of its mean, an interval as much as its leaves let it;
 * readings share the cut-to-cut errors of their pieces, so that together they tell Bᵀ(I + AAᵀ)⁻¹B, as in the fit. Slopes are those at pieces drawn for each scenario.
 *
 * @param readings of one trial; a `value` only says that the instrument tells one.
 */
export function trialInformation(
  job: Job,
  readings: readonly Reading[],
  scenarios: readonly Float64Array[],
  seed: number,
): TrialInformation {
  const [block, ...others] = trialBlocks(job, readings);
  if (block === undefined || others.length > 0)
    throw new RangeError("The readings must be of one trial; in trialInformation.");
  const sources = sourcesOf(job);
  const leaves = new Map(job.instruments.map((instrument) => [instrument.name, instrument.leaves]));
  // Blocks sort readings by bench.
  const rowOf = new Int32Array(readings.length);
  for (const [row, place] of block.places.entries()) rowOf[place] = row;
  // A reading that is as likely as this a gross mistake tells so much less.
  const honest = Math.sqrt(1 - job.mistakes);
  const stream = createStream(seed, 8);
  const told = scenarios.map((scenario): Told => {
    const latents = stream.fill(new Float64Array(block.latents));
    const at = orNothing(() => expectBlock(job, block, scenario, latents));
    const [r, p, n] = [readings.length, sources.length, block.latents];
    const bySource = new Float64Array(r * p);
    const shared = new Float64Array(r * r);
    if (at === null) return { bySource, shared };
    for (let i = 0; i < r; i++) {
      for (let j = 0; j <= i; j++) {
        let sum = 0;
        for (let k = 0; k < n; k++) sum += at.byLatent[i * n + k]! * at.byLatent[j * n + k]!;
        shared[i * r + j] = sum;
        shared[j * r + i] = sum;
      }
    }
    const weights = block.readings.map((reading, i) => {
      const noise = block.noise[i]!;
      if (reading.value !== null) return honest / noise;
      const scatter = Math.sqrt(shared[i * r + i]!);
      const variance = equivalentVariance(at.mu[i]!, noise, scatter, leaves.get(reading.instrument)!);
      return honest / Math.sqrt(variance);
    });
    for (let i = 0; i < r; i++) {
      for (let c = 0; c < p; c++)
        bySource[i * p + c] = weights[i]! * at.bySource[i * p + c]! * sources[c]!.trustedTo;
      for (let j = 0; j < r; j++) shared[i * r + j]! *= weights[i]! * weights[j]!;
    }
    return { bySource, shared };
  });
  return {
    readings,
    of: (places) =>
      told.map((one) =>
        together(
          one,
          places.map((place) => rowOf[place]!),
          sources.length,
        ),
      ),
  };
}

/** Bᵀ(I + AAᵀ)⁻¹B of some rows. */
function together({ bySource, shared }: Told, rows: readonly number[], p: number): Float64Array {
  const k = rows.length;
  const r = Math.sqrt(shared.length);
  const factor = new Float64Array(k * k);
  for (let i = 0; i < k; i++) {
    for (let j = 0; j < k; j++) factor[i * k + j] = shared[rows[i]! * r + rows[j]!]! + (i === j ? 1 : 0);
  }
  choleskyInPlace(factor, k, 0);
  const whitened = new Float64Array(k * p);
  for (let i = 0; i < k; i++) {
    for (let c = 0; c < p; c++) {
      let sum = bySource[rows[i]! * p + c]!;
      for (let j = 0; j < i; j++) sum -= factor[i * k + j]! * whitened[j * p + c]!;
      whitened[i * p + c] = sum / factor[i * k + i]!;
    }
  }
  const out = new Float64Array(p * p);
  for (let i = 0; i < k; i++) {
    for (let a = 0; a < p; a++) {
      const left = whitened[i * p + a]!;
      if (left !== 0) for (let b = 0; b < p; b++) out[a * p + b]! += left * whitened[i * p + b]!;
    }
  }
  return out;
}
