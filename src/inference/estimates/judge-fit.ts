import { mean, medianAbsoluteDeviation, quantileSorted, standardDeviation } from "simple-statistics";
import { at } from "../../core/numeric/dense.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import { createStream, type RandomStream } from "../../core/numeric/random-stream.js";
import type { Reading } from "../../model/readings.js";
import {
  type Likelihood,
  likelihoodOf,
  maximiseLikelihood,
  TO_COMPARE,
} from "../likelihood/maximise-likelihood.js";
import { endsOf } from "../likelihood/reading-likelihood.js";
import { expectValues } from "../likelihood/trial-blocks.js";
import type { SourceFit } from "./fit-sources.js";
import { simulateTrials } from "./simulate-trials.js";

/** Whether the readings look like what the fitted model would give. */
export interface FitVerdict {
  readonly verdict: "fits" | "doubtful" | "does not fit";
  readonly sentence: string;
  /** Share of data sets simulated from the fit, and fitted again, that fit no better: small when the readings scatter more than the job says. */
  readonly probability: number;
  readonly simulated: number;
  /** Robust spread of the residuals in standard deviations (1.4826 × median absolute deviation): about 1 for values, less where most readings only say "closed". */
  readonly residualSpread: number;
  readonly outliers: readonly string[];
}

const SIMULATED = 39;
/** With 39 data sets the least probability is 1/40; below this the fit is doubted. */
const DOUBTFUL = 0.06;
/** Worse than every simulated data set by this share of their range. */
const FAR_BEYOND = 0.5;
const MAD_TO_SIGMA = 1.4826;

/**
 * Goodness of fit by parametric bootstrap: data sets are drawn from the fitted model, cut-to-cut errors and instruments included, each is fitted again, and their
 * losses are compared with that of the readings. (A χ² test would not hold: censored readings have no χ² residual.)
 */
export function judgeFit(
  fit: SourceFit,
  residuals: readonly ReadingResidual[],
  seed: number,
  simulated: number = SIMULATED,
): FitVerdict {
  const { job, readings, cells } = fit.likelihood;
  const { sources } = fit;
  // Where a sign is not identified the mean has low density; the mode does not.
  const truth = sources.some(({ sides }) => sides) ? fit.best.estimates : fit.estimates;
  const ours = fit.best.minimum.terms.value;
  const losses = Array.from({ length: simulated }, (_, s) => {
    const replica = simulateTrials(job, readings, { truth, seed, substream: 100 + s, cells });
    return maximiseLikelihood(likelihoodOf(job, sources, replica, cells), truth, [], TO_COMPARE).minimum.terms
      .value;
  });
  const probability = (losses.filter((loss) => loss >= ours).length + 1) / (simulated + 1);
  const [least, most] = [Math.min(...losses), Math.max(...losses)];
  const beyond = ours > most + FAR_BEYOND * (most - least);
  const verdict = beyond ? "does not fit" : probability < DOUBTFUL ? "doubtful" : "fits";
  const outliers = residuals.filter(({ outlier }) => outlier).map(({ reading }) => reading.id);
  return {
    ...{ verdict, probability, simulated, outliers },
    residualSpread: MAD_TO_SIGMA * medianAbsoluteDeviation(residuals.map(({ residual }) => residual)),
    sentence: sentenceOf(verdict, outliers),
  };
}

function sentenceOf(verdict: FitVerdict["verdict"], outliers: readonly string[]): string {
  const named = outliers.length > 0 ? ` Look again at ${outliers.join(", ")}.` : "";
  if (verdict === "fits") return `The readings scatter as the job says they should.${named}`;
  const more = verdict === "doubtful" ? "somewhat more" : "clearly more";
  return `The readings scatter ${more} than the job says: a misread value, a wrong unit, or more scatter from cut to cut than stated.${named}`;
}

/** One reading compared with what the fit expects; rad or mm. */
export interface ReadingResidual {
  readonly reading: Reading;
  /** Median of what the fit expects, and its central 95 % interval: with cut-to-cut errors and the instrument's repeatability. */
  readonly expected: number;
  readonly interval: readonly [number, number];
  /** Normal score of the reading among what is expected: 0 in the middle, ±2 at the ends of the 95 % interval. An interval counts by its middle probability. */
  readonly residual: number;
  readonly outlier: boolean;
}

/** A reading more than this many standard deviations away is an outlier. */
const OUTLYING = 3;
const DRAWS = 250;

/** Every reading compared with draws from the fitted model (posterior mean; the likelier sign where a sign is not identified). */
export function residualsOf(fit: SourceFit, seed: number): ReadingResidual[] {
  const { likelihood, oneSide } = fit;
  const draws = drawReadings(likelihood, oneSide.estimates, createStream(seed, 5), DRAWS);
  return likelihood.readings.map((reading, i) => {
    const expected = draws.map((row) => at(row, i)).sort((a, b) => a - b);
    const residual = normalScore(reading, expected);
    return {
      ...{ reading, residual },
      expected: quantileSorted(expected, 0.5),
      interval: [quantileSorted(expected, 0.025), quantileSorted(expected, 0.975)],
      outlier: Math.abs(residual) > OUTLYING,
    };
  });
}

/** The rank of a reading among sorted draws as a normal quantile; beyond all of them, its distance in their standard deviations. */
function normalScore(reading: Reading, draws: readonly number[]): number {
  const n = draws.length;
  const below = (x: number): number => draws.filter((draw) => draw < x).length;
  const [from, to] = endsOf(reading);
  const rank = (below(from) + below(to)) / 2;
  const byRank = normalQuantile((rank + 0.5) / (n + 1));
  const nearest = rank === 0 ? to : rank === n ? from : null;
  if (nearest === null) return byRank;
  const byDistance = (nearest - mean([...draws])) / standardDeviation([...draws]);
  return Math.abs(byDistance) > Math.abs(byRank) ? byDistance : byRank;
}

/** What each reading might have shown at given sources, before the instrument rounds it or takes its leaves: one row a draw, mm or rad. */
function drawReadings(
  { job, blocks, readings }: Likelihood,
  sources: Float64Array,
  stream: RandomStream,
  draws: number,
): Float64Array[] {
  return Array.from({ length: draws }, () => {
    const row = new Float64Array(readings.length);
    for (const block of blocks) {
      const latents = stream.fill(new Float64Array(block.latents));
      const mu = expectValues(job, block, sources, latents);
      for (const [k, place] of block.places.entries())
        row[place] = at(mu, k) + at(block.noise, k) * stream.normal();
    }
    return row;
  });
}
