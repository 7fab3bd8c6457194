import { choleskyInPlace } from "../../numeric/cholesky.js";
import type { WeightedNormal } from "../../numeric/elliptical-slice.js";
import type { RandomStream } from "../../numeric/random-stream.js";
import type { Likelihood } from "../maximise-likelihood.js";
import { drawLatents, type LatentLaw } from "./latent-law.js";
import type { SourceLaw } from "./moments.js";
import { pointLayout } from "./point-layout.js";

/** The sources (in their prior standard deviations) and every trial's cut-to-cut errors. */
export interface State {
  readonly sources: Float64Array;
  readonly latents: readonly Float64Array[];
}

/** The posterior as a weighted normal law about a frame, and the way from its points to states and back. */
export interface FrameLaw extends WeightedNormal {
  /** How many sources there are: the first numbers of a point. */
  readonly sources: number;
  stateOf(point: Float64Array): State;
  /** Writes the sources of a point to `out`, from word `at` on. */
  readSources(point: Float64Array, out: Float64Array, at: number): void;
  /** Writes the point of a state. */
  enter(state: State, point: Float64Array): void;
}

/**
 * The posterior of a likelihood's sources and cut-to-cut errors as a frame, a normal law near it or wider, times prior × likelihood / frame.
 * A point holds all that is linear in what is drawn, down to the elementary errors, so that a step along an ellipse needs no matrix.
 */
export function frameLaw(likelihood: Likelihood, law: SourceLaw, trialLaws: readonly LatentLaw[]): FrameLaw {
  const { mean } = law;
  const p = mean.length;
  const root = law.covariance.slice();
  if (!choleskyInPlace(root, p)) throw new RangeError("The frame's covariance is not positive definite.");
  const { length, trials, complete, squares, parts } = pointLayout(likelihood, mean, trialLaws);
  return {
    ...{ length, squares, parts, sources: p },
    draw(point: Float64Array, stream: RandomStream): void {
      for (let i = 0; i < p; i++) {
        point[p + i] = stream.normal();
        point[i] = 0;
        for (let k = 0; k <= i; k++) point[i]! += root[i * p + k]! * point[p + k]!;
      }
      for (const { law: trial, own } of trials)
        drawLatents(trial, stream, point.subarray(own, own + trial.latents));
      complete(point);
    },
    readSources(point, out, at): void {
      for (let i = 0; i < p; i++) out[at + i] = mean[i]! + point[i]!;
    },
    stateOf: (point) => ({
      sources: mean.map((value, i) => value + point[i]!),
      latents: trials.map(({ centre, latents }) => centre.map((value, k) => value + point[latents + k]!)),
    }),
    enter(state, point): void {
      for (let i = 0; i < p; i++) {
        point[i] = state.sources[i]! - mean[i]!;
        let sum = point[i]!;
        for (let k = 0; k < i; k++) sum -= root[i * p + k]! * point[p + k]!;
        point[p + i] = sum / root[i * p + i]!;
      }
      for (const [b, { law: trial, own, centre }] of trials.entries()) {
        for (let k = 0; k < trial.latents; k++)
          point[own + k] = state.latents[b]![k]! - centre[k]! - followed(trial, k, point, p);
      }
      complete(point);
    },
  };
}

/** How far cut-to-cut error k follows the sources. */
function followed({ follow }: LatentLaw, k: number, point: Float64Array, p: number): number {
  let sum = 0;
  for (let c = 0; c < p; c++) sum += follow[k * p + c]! * point[c]!;
  return sum;
}
