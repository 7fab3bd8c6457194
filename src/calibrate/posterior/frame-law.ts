import { choleskyInPlace } from "../../numeric/cholesky.js";
import type { WeightedNormal } from "../../numeric/elliptical-slice.js";
import type { RandomStream } from "../../numeric/random-stream.js";
import type { Likelihood } from "../maximise-likelihood.js";
import type { SourceLaw } from "./moments.js";
import { pointLayout } from "./point-layout.js";
import { completeTrial, drawTrial, type TrialLaw } from "./trial-law.js";

/** The sources (in their prior standard deviations) and every trial's cut-to-cut errors. */
export interface State {
  readonly sources: Float64Array;
  readonly latents: readonly Float64Array[];
}

/** A normal law of the sources (in their prior standard deviations), and of each trial's cut-to-cut errors given them. */
export interface Frame {
  readonly law: SourceLaw;
  readonly trials: readonly TrialLaw[];
  /** Whether the frame is the law of priors and linear, normal readings itself, so that only other readings weigh. */
  readonly exact: boolean;
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
export function frameLaw(likelihood: Likelihood, frame: Frame): FrameLaw {
  const { mean, covariance } = frame.law;
  const p = mean.length;
  const root = covariance.slice();
  if (!choleskyInPlace(root, p)) throw new RangeError("The frame's covariance is not positive definite.");
  const { length, trials, complete, squares, parts } = pointLayout(likelihood, frame);
  return {
    ...{ length, squares, parts, sources: p },
    draw(point: Float64Array, stream: RandomStream): void {
      for (let i = 0; i < p; i++) {
        point[p + i] = stream.normal();
        let sum = 0;
        for (let k = 0; k <= i; k++) sum += root[i * p + k]! * point[p + k]!;
        point[i] = sum;
      }
      for (const places of trials) drawTrial(places.law, stream, point, places);
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
      for (const [b, { law, centre, latents, seen }] of trials.entries()) {
        for (let k = 0; k < centre.length; k++) point[latents + k] = state.latents[b]![k]! - centre[k]!;
        completeTrial(law, point, { latents, seen });
      }
      complete(point);
    },
  };
}
