import { mean, quantileSorted, sampleVariance, standardDeviation } from "simple-statistics";
import { UserError } from "../../core/errors.js";
import { addScaled, at, present, quadraticForm, rowOf } from "../../core/numeric/dense.js";
import { symmetricInverse } from "../../core/numeric/linear-algebra.js";
import { normalQuantile } from "../../core/numeric/normal.js";
import { createStream, type RandomStream } from "../../core/numeric/random-stream.js";
import type { Reading } from "../../model/readings.js";
import { expectMany } from "../likelihood/expect-many.js";
import { endsOf, instrumentOf } from "../likelihood/reading-likelihood.js";
import {
  expectedInformation,
  inPriorSds,
  profileOf,
  type TargetDensity,
  TO_COMPARE,
  targetDensity,
} from "../posterior/posterior-mode.js";
import type { SourceFit } from "./fit-sources.js";
import { asRead } from "./simulate-trials.js";

/** How the readings compare with sets of readings simulated from a fitted model. */
export interface Goodness {
  /** Probability that a set simulated from the fit fits no better than the readings: small if they scatter more than the job states. */
  readonly probability: number;
  /** Number of sets simulated: simulation stops early once the readings are seen to be unremarkable. */
  readonly simulated: number;
  /** Whether the readings fit far worse than every simulated set. */
  readonly beyond: boolean;
  /** Factor by which standard uncertainties would have to grow for the readings to be unremarkable, ≥ 1. */
  readonly inflation: number;
}

/** Maximum number of simulated sets; with 39 the smallest possible probability is 1/40. */
const SIMULATED = 39;
/** Sequential stopping: once this many sets fit no better than the readings, the probability is known well enough (J. Besag and P. Clifford, Biometrika 78, 1991). */
const ENOUGH = 4;
/** The readings are far beyond the simulated sets if they are worse than every one of them by this share of their range. */
const FAR_BEYOND = 0.5;

/** Goodness of fit of the readings, with scatters no larger than stated: scatters that were estimated larger to accommodate the readings would hide a misfit. */
export function judgeFit(fit: SourceFit, seed: number): Goodness {
  // If a sign is not identified, the density at the mean is low, so the mode is used.
  const truth = fit.sources.some(({ sides }) => sides) ? fit.mode().estimates : fit.estimates;
  return judgeTarget(atStatedScatters(fit), truth, seed);
}

/**
 * Goodness of fit by parametric bootstrap: data sets are drawn from the model at its estimates, cut-to-cut errors and instrument noise included. The loss of each set, like that of the readings,
 * is minimised over the sources by one Gauss–Newton step from the estimates. (A χ² test would not be valid: censored readings have no χ² residual.)
 *
 * @param truth estimates of the likelihood's sources, rad and mm.
 */
export function judgeTarget(target: TargetDensity, truth: Float64Array, seed: number): Goodness {
  const { job, readings, blocks } = target;
  const ours = leastLoss(target, truth);
  const losses: number[] = [];
  let worse = 0;
  while (losses.length < SIMULATED && worse < ENOUGH) {
    const [row] = drawReadings(target, truth, createStream(seed, 100 + losses.length), 1);
    const replica = readings.map((reading, i): Reading => {
      const seen = asRead(instrumentOf(job, reading), at(present(row), i), reading.what);
      return inFormOf(reading, { ...reading, ...seen });
    });
    const own = blocks.map((block) => ({
      ...block,
      readings: block.places.map((place) => at(replica, place)),
    }));
    const loss = leastLoss({ ...target, readings: replica, blocks: own }, truth);
    if (loss >= ours) worse++;
    losses.push(loss);
  }
  const [least, most] = [Math.min(...losses), Math.max(...losses)];
  return {
    // After an early stop, the share itself; after all sets, the readings count as one of the sets.
    probability: worse === ENOUGH ? worse / losses.length : (worse + 1) / (SIMULATED + 1),
    simulated: losses.length,
    beyond: worse === 0 && ours > most + FAR_BEYOND * (most - least),
    // Twice the loss is about χ² with ν degrees of freedom, so the variance of the losses is ν/2, and the ratio of Birge (R. T. Birge, Phys. Rev. 40, 1932) follows from their mean.
    inflation: Math.sqrt(
      Math.max(1, 1 + (ours - mean(losses)) / Math.max(sampleVariance(losses), LEAST_VARIANCE)),
    ),
  };
}

/** Lower bound for the variance of the losses of simulated sets: it is smaller only if few readings are informative. */
const LEAST_VARIANCE = 0.5;

/**
 * Minimum of −log posterior density over the sources, by one Gauss–Newton step: the value less half of gᵀH⁻¹g. A value's density is taken in units of its instrument's standard deviation,
 * so that it can be added to the probabilities of closed joints in the same way in every set.
 */
function leastLoss(target: TargetDensity, truth: Float64Array): number {
  const { sources, blocks } = target;
  const p = sources.length;
  const { terms } = profileOf(target, [], TO_COMPARE)(inPriorSds(truth, sources));
  const gradient = new Float64Array(p);
  for (const [i, slope] of terms.slope.entries()) addScaled(gradient, rowOf(terms.jacobian, i, p), slope);
  const units = blocks.reduce(
    (sum, { readings, noise }) =>
      sum + readings.reduce((own, { value }, i) => own + (value === null ? 0 : Math.log(at(noise, i))), 0),
    0,
  );
  return (
    terms.value - units - quadraticForm(symmetricInverse(expectedInformation(terms, p), p), gradient) / 2
  );
}

/** A simulated reading in the form of the real one: an interval of the same width if that is an interval, since densities and probabilities cannot be compared. */
function inFormOf(reading: Reading, drawn: Reading): Reading {
  if (reading.value !== null || drawn.value === null) return drawn;
  const [low, high] = endsOf(reading);
  const { value } = drawn;
  const of = (from: number, to: number): Reading => ({ ...drawn, value: null, low: from, high: to });
  if (!Number.isFinite(low)) return value <= high ? of(low, high) : of(high, Number.POSITIVE_INFINITY);
  if (!Number.isFinite(high)) return value >= low ? of(low, high) : of(Number.NEGATIVE_INFINITY, low);
  const from = low + (high - low) * Math.floor((value - low) / (high - low));
  return of(from, from + (high - low));
}

/** One reading compared with what the fit expects; rad or mm. */
export interface ReadingResidual {
  readonly reading: Reading;
  /** Median and central 95 % interval of the prediction, cut-to-cut errors and the instrument's repeatability included. */
  readonly expected: number;
  readonly interval: readonly [number, number];
  /** Normal score of the reading within the predictive distribution: 0 at the median, ±2 at the ends of the 95 % interval. For an interval, its middle probability is used. */
  readonly residual: number;
  readonly outlier: boolean;
}

/** A reading more than this many standard deviations away is an outlier. */
const OUTLYING = 3;
const DRAWS = 250;

/** Every reading compared with draws from the fitted model (posterior mean; the more probable sign if a sign is not identified). */
export function residualsOf(fit: SourceFit, seed: number): ReadingResidual[] {
  const { target, oneSide } = fit;
  const draws = drawReadings(atStatedScatters(fit), oneSide.estimates, createStream(seed, 5), DRAWS);
  return target.readings.map((reading, i) => {
    const expected = draws.map((row) => at(row, i)).sort((a, b) => a - b);
    const residual = normalScore(reading, expected);
    return {
      reading,
      residual,
      expected: quantileSorted(expected, 0.5),
      interval: [quantileSorted(expected, 0.025), quantileSorted(expected, 0.975)],
      outlier: Math.abs(residual) > OUTLYING,
    };
  });
}

/** The likelihood at the scatters of the fit, limited to what the job states: a scatter that was estimated larger because of an outlying reading would hide that reading. */
function atStatedScatters({ target, betweenCutSd }: SourceFit): TargetDensity {
  const { job, sources, readings, cells } = target;
  const least = (of: keyof typeof betweenCutSd): number =>
    Math.min(betweenCutSd[of].used, betweenCutSd[of].stated);
  const scatters = { angle: least("angle"), length: least("length"), thickness: least("thickness") };
  return targetDensity({ ...job, betweenCutSd: scatters }, sources, readings, cells);
}

/** The rank of a reading among sorted draws, converted to a normal quantile; if it is beyond all of them, its distance in their standard deviations. */
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

/** What each reading might have shown at given sources, before it is rounded to the instrument's steps or leaves: one row per draw, mm or rad. */
function drawReadings(
  { job, blocks, readings }: TargetDensity,
  sources: Float64Array,
  stream: RandomStream,
  draws: number,
): Float64Array[] {
  const rows = Array.from({ length: draws }, () => new Float64Array(readings.length));
  for (const block of blocks) {
    const r = block.readings.length;
    const latents = stream.fill(new Float64Array(draws * block.latents));
    const everywhere = new Float64Array(draws * sources.length);
    for (let d = 0; d < draws; d++) everywhere.set(sources, d * sources.length);
    const mu = expectMany(job, block, { sources: everywhere, latents, draws });
    for (const [d, row] of rows.entries())
      for (const [k, place] of block.places.entries()) {
        const expected = at(mu, d * r + k);
        if (Number.isNaN(expected))
          throw new UserError(
            "seating",
            `The readings of ${block.trial} cannot be compared with what the fit expects: with the errors that it allows, the pieces find no rest.`,
          );
        row[place] = expected + at(block.noise, k) * stream.normal();
      }
  }
  return rows;
}
