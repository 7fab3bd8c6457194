import { mean, quantileSorted, standardDeviation } from "simple-statistics";
import { normalQuantile } from "../numeric/normal-quantile.js";
import { createStream } from "../numeric/random-stream.js";
import type { Reading } from "../readings/reading.js";
import { drawReadings } from "./draw-readings.js";
import type { SourceFit } from "./fit-sources.js";

/** One reading against what the fit expects; rad or mm. */
export interface ResidualRow {
  readonly reading: Reading;
  /** Median of what the fit expects, and its central 95 % interval: cut-to-cut errors and the instrument's scatter. */
  readonly expected: number;
  readonly interval: readonly [number, number];
  /** Where the reading falls among what is expected, as a standard normal: 0 in the middle, ±2 at the ends of the 95 % interval. An interval counts by its middle probability. */
  readonly residual: number;
  readonly outlier: boolean;
}

/** A reading this many standard deviations away is named. */
const OUTLYING = 3;
const DRAWS = 250;

/** Every reading against draws of what the fitted model might have shown, the likelier sign taken where signs are not told. */
export function residualsOf({ likelihood, oneSide }: SourceFit, seed: number): ResidualRow[] {
  const draws = drawReadings(likelihood, oneSide.estimates, createStream(seed, 5), DRAWS);
  return likelihood.readings.map((reading, i) => {
    const expected = draws.map((row) => row[i]!).sort((a, b) => a - b);
    const residual = standing(reading, expected);
    return {
      ...{ reading, residual },
      expected: quantileSorted(expected, 0.5),
      interval: [quantileSorted(expected, 0.025), quantileSorted(expected, 0.975)],
      outlier: Math.abs(residual) > OUTLYING,
    };
  });
}

/** The rank of a reading among sorted draws as a normal quantile; beyond all of them, its distance in their standard deviations. */
function standing({ value, low, high }: Reading, draws: readonly number[]): number {
  const n = draws.length;
  const below = (x: number): number => draws.filter((draw) => draw < x).length;
  const [from, to] = value === null ? [low!, high!] : [value, value];
  const rank = (below(from) + below(to)) / 2;
  const byRank = normalQuantile((rank + 0.5) / (n + 1));
  const nearest = rank === 0 ? to : rank === n ? from : null;
  if (nearest === null) return byRank;
  const byDistance = (nearest - mean([...draws])) / standardDeviation([...draws]);
  return Math.abs(byDistance) > Math.abs(byRank) ? byDistance : byRank;
}
