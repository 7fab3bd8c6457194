import { choleskyInPlace } from "../../numeric/cholesky.js";
import type { WeightedNormal } from "../../numeric/elliptical-slice.js";
import type { RandomStream } from "../../numeric/random-stream.js";
import { invert } from "../information.js";
import type { Likelihood } from "../maximise-likelihood.js";
import { drawLatents, type LatentLaw } from "./latent-law.js";
import type { SourceLaw } from "./moments.js";
import { type PartPlaces, pointLayout, type TrialPlaces } from "./point-layout.js";

/** The sources (in their prior standard deviations) and every trial's cut-to-cut errors. */
export interface State {
  readonly sources: Float64Array;
  readonly latents: readonly Float64Array[];
}

/** The posterior as a weighted normal law about a frame, and the way from its points to states and back. */
export interface FrameLaw extends WeightedNormal {
  stateOf(point: Float64Array): State;
  /** The sources of a point alone. */
  sourcesOf(point: Float64Array): Float64Array;
  /** Writes the point of a state. */
  enter(state: State, point: Float64Array): void;
}

/**
 * The posterior of a likelihood's sources and cut-to-cut errors as a frame, a normal law near it or wider, times prior × likelihood / frame.
 * A point holds all that is linear in what is drawn, down to the elementary errors, so that a step along an ellipse needs no matrix.
 */
export function frameLaw(likelihood: Likelihood, law: SourceLaw, trialLaws: readonly LatentLaw[]): FrameLaw {
  const { sources } = likelihood;
  const { mean } = law;
  const p = mean.length;
  const unit = Float64Array.from(sources, ({ trustedTo }) => trustedTo);
  const expected = Float64Array.from(sources, ({ expected = 0, trustedTo }) => expected / trustedTo);
  const root = law.covariance.slice();
  if (!choleskyInPlace(root, p)) throw new RangeError("The frame's covariance is not positive definite.");
  const precision = invert(law.covariance, p);
  const { trials, parts, length } = pointLayout(likelihood, mean, trialLaws);
  const normals = new Float64Array(p);

  const complete = (point: Float64Array): void => {
    for (const trial of trials) completeTrial(trial, point, p);
    for (const part of parts) completeErrors(part, point, unit);
  };
  const priorOverFrame = (point: Float64Array): number => {
    let sum = 0;
    for (let i = 0; i < p; i++) {
      for (let j = 0; j < p; j++) sum += (point[i]! * precision[i * p + j]! * point[j]!) / 2;
      sum -= (mean[i]! + point[i]! - expected[i]!) ** 2 / 2;
    }
    return trials.reduce((all, trial) => all + latentsOverFrame(trial, point), sum);
  };

  return {
    length,
    draw(point: Float64Array, stream: RandomStream): void {
      stream.fill(normals);
      for (let i = 0; i < p; i++) {
        point[i] = 0;
        for (let k = 0; k <= i; k++) point[i]! += root[i * p + k]! * normals[k]!;
      }
      for (const { law: trial, own } of trials)
        drawLatents(trial, stream, point.subarray(own, own + trial.latents));
      complete(point);
    },
    logWeights(points, count, out): void {
      for (let t = 0; t < count; t++) out[t] = priorOverFrame(points.subarray(t * length, (t + 1) * length));
      for (const part of parts) {
        const batch = part.kernel?.batchTrials ?? count;
        for (let first = 0; first < count; first += batch) {
          const size = Math.min(batch, count - first);
          const own = points.subarray(first * length, (first + size) * length);
          addReadings({ part, points: own, length, unit, mean }, out.subarray(first, first + size));
        }
      }
    },
    sourcesOf: (point) => mean.map((value, i) => value + point[i]!),
    stateOf: (point) => ({
      sources: mean.map((value, i) => value + point[i]!),
      latents: trials.map(({ centre, latents }) => centre.map((value, k) => value + point[latents + k]!)),
    }),
    enter(state, point): void {
      for (let i = 0; i < p; i++) point[i] = state.sources[i]! - mean[i]!;
      for (const [b, { law: trial, own, centre }] of trials.entries()) {
        for (let k = 0; k < trial.latents; k++)
          point[own + k] = state.latents[b]![k]! - centre[k]! - followed(trial, k, point, p);
      }
      complete(point);
    },
  };
}

/** How far cut-to-cut error k follows the sources. */
function followed({ follow, told }: LatentLaw, k: number, point: Float64Array, p: number): number {
  let sum = 0;
  for (let c = 0; told && c < p; c++) sum += follow[k * p + c]! * point[c]!;
  return sum;
}

function completeTrial({ law, own, seen, latents }: TrialPlaces, point: Float64Array, p: number): void {
  const { latents: n, readings, a, told } = law;
  if (!told) return;
  for (let k = 0; k < n; k++) point[latents + k] = point[own + k]! + followed(law, k, point, p);
  for (let i = 0; i < readings; i++) {
    let sum = 0;
    for (let k = 0; k < n; k++) sum += a[i * n + k]! * point[own + k]!;
    point[seen + i] = sum;
  }
}

function completeErrors(
  { specimen: { matrix, scatter }, latent, errors, entries, trial }: PartPlaces,
  point: Float64Array,
  unit: Float64Array,
): void {
  const p = unit.length;
  for (let i = 0; i < entries.length; i++) {
    const e = entries[i]!;
    let sum = latent[e]! < 0 ? 0 : scatter[e]! * point[trial.latents + latent[e]!]!;
    for (let c = 0; c < p; c++) sum += matrix[e * p + c]! * unit[c]! * point[c]!;
    point[errors + i] = sum;
  }
}

/** log (prior / frame) of a trial's cut-to-cut errors, up to a constant: the frame's −log density is ½(|d|² + |A·d|²). */
function latentsOverFrame({ law, own, seen, latents, centre }: TrialPlaces, point: Float64Array): number {
  let sum = 0;
  if (!law.told) return sum;
  for (let k = 0; k < law.latents; k++)
    sum += (point[own + k]! ** 2 - (centre[k]! + point[latents + k]!) ** 2) / 2;
  for (let i = 0; i < law.readings; i++) sum += point[seen + i]! ** 2 / 2;
  return sum;
}

interface PartTask {
  readonly part: PartPlaces;
  readonly points: Float64Array;
  readonly length: number;
  readonly unit: Float64Array;
  readonly mean: Float64Array;
}

/** Adds the log likelihood of a specimen's readings to each point's. */
function addReadings({ part, points, length, unit, mean }: PartTask, out: Float64Array): void {
  const { kernel, errors, centre, readings } = part;
  const count = centre.length;
  for (let t = 0; kernel && t < out.length; t++) {
    const own = kernel.drawsOf(t);
    for (let e = 0; e < count; e++) own[e] = centre[e]! + points[t * length + errors + e]!;
  }
  kernel?.seat(out.length);
  for (const { logLikelihood, probes, nominal, slopes, shift, column } of readings) {
    for (let t = 0; t < out.length; t++) {
      const at = t * length;
      let mu = shift + nominal;
      if (column >= 0) mu += unit[column]! * (mean[column]! + points[at + column]!);
      if (probes) mu += widestOf(probes, (probe) => kernel!.gap(t, probe));
      for (let e = 0; e < slopes.length; e++) mu += slopes[e]! * (centre[e]! + points[at + errors + e]!);
      out[t]! += logLikelihood(mu);
    }
  }
}

function widestOf(probes: readonly number[], gap: (probe: number) => number): number {
  let widest = Number.NEGATIVE_INFINITY;
  for (const probe of probes) widest = Math.max(widest, gap(probe));
  return widest;
}
