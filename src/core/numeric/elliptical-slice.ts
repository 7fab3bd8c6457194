import type { RandomStream } from "./random-stream.js";

/** Proposals on walkers' ellipses: proposal t is cos·(the walker's point) + sin·(the other point of its ellipse). */
export interface EllipseProposals {
  count: number;
  readonly walker: Int32Array;
  readonly cos: Float64Array;
  readonly sin: Float64Array;
  /** A proposal is accepted when its log weight exceeds this. */
  readonly floor: Float64Array;
}

/** What is sampled: a normal density, from which the caller has drawn the other point of each ellipse, times a weight. */
export interface EllipseStep {
  readonly walkers: number;
  readonly stream: RandomStream;
  /** Log weight at each walker's point. */
  readonly current: Float64Array;
  /** Power of the weight, > 0: 1 for the target itself, less for a tempered distribution nearer the normal one. */
  readonly power: number;
  /** Writes the log weight of each proposal; −∞ where it is known to lie below the floor. */
  readonly weigh: (proposals: EllipseProposals, out: Float64Array) => void;
  /** Moves a walker to proposal t. */
  readonly accept: (t: number, walker: number) => void;
}

/** A bracket narrower than this, rad, counts as shrunk to its starting point. */
const CLOSED = 1e-9;
const TURN = 2 * Math.PI;

/**
 * One step of elliptical slice sampling for many walkers (I. Murray, R. P. Adams and D. J. C. MacKay, Elliptical slice sampling, AISTATS 2010): a Markov chain with the
 * target as its stationary distribution and nothing to tune. Each walker draws a height under its weight and proposes angles on its ellipse; it accepts the first whose
 * weight exceeds the height, and the bracket of angles shrinks towards its point after each rejection. All unfinished walkers propose together.
 *
 * @returns number of proposals.
 */
export function stepOnEllipses({ walkers, stream, current, power, weigh, accept }: EllipseStep): number {
  const proposals: EllipseProposals = {
    count: 0,
    walker: new Int32Array(walkers),
    cos: new Float64Array(walkers),
    sin: new Float64Array(walkers),
    floor: new Float64Array(walkers),
  };
  const { walker, cos, sin, floor } = proposals;
  const weights = new Float64Array(walkers);
  const height = current.map((log) => log + Math.log(1 - stream.uniform()) / power);
  const high = height.map(() => TURN * stream.uniform());
  const low = high.map((angle) => angle - TURN);
  const angle = high.slice();
  let left = Array.from(height, (_, k) => k);
  let tries = 0;
  // Every proposal of the sampler passes here, so entries are read without bounds checks.
  while (left.length > 0) {
    for (let t = 0; t < left.length; t++) {
      const k = left[t]!;
      walker[t] = k;
      cos[t] = Math.cos(angle[k]!);
      sin[t] = Math.sin(angle[k]!);
      floor[t] = height[k]!;
    }
    proposals.count = left.length;
    tries += left.length;
    weigh(proposals, weights);
    const again: number[] = [];
    for (let t = 0; t < left.length; t++) {
      const k = left[t]!;
      if (weights[t]! > floor[t]!) {
        accept(t, k);
        continue;
      }
      if (angle[k]! < 0) low[k] = angle[k]!;
      else high[k] = angle[k]!;
      angle[k] = low[k]! + (high[k]! - low[k]!) * stream.uniform();
      if (high[k]! - low[k]! > CLOSED) again.push(k);
    }
    left = again;
  }
  return tries;
}
