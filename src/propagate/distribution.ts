import type { RandomStream } from "../numeric/random-stream.js";

/**
 * What is known of one input quantity, as a probability distribution (JCGM 101:2008, 6.4). Plain values in the
 * quantity's own unit.
 */
export interface Distribution {
  readonly kind: string;
  /** Best estimate: the expectation, in the quantity's own unit. */
  readonly estimate: number;
  /**
   * Standard uncertainty for the law of propagation. It is the standard deviation, except for Student's t, where
   * JCGM 100 takes the scale and counts degrees of freedom instead.
   */
  readonly standardUncertainty: number;
  /** Standard deviation of the distribution, as Monte Carlo sees it, in the quantity's own unit; Infinity where it has none. */
  readonly standardDeviation: number;
  /** Degrees of freedom of `standardUncertainty`; Infinity where it is taken as exactly known. */
  readonly degreesOfFreedom: number;
  /** Smallest and largest possible value, in the quantity's own unit. */
  readonly support: readonly [number, number];
  /** The value below which the quantity lies with probability `p`, 0 < p < 1. */
  quantile(p: number): number;
  draw(stream: RandomStream): number;
}

/** What all bounded symmetric shapes share. */
export function bounded(
  kind: string,
  lo: number,
  hi: number,
  standardDeviation: number,
  degreesOfFreedom: number,
  quantile: (p: number) => number,
  draw: (stream: RandomStream) => number = (stream) => quantile(stream.uniform()),
): Distribution {
  return {
    kind,
    estimate: lo + (hi - lo) / 2,
    standardUncertainty: standardDeviation,
    standardDeviation,
    degreesOfFreedom,
    support: [lo, hi],
    quantile,
    draw,
  };
}
