import { effectiveDraws } from "../../numeric/effective-draws.js";
import { logWeights, walkEllipses } from "../../numeric/elliptical-slice.js";
import type { RandomStream } from "../../numeric/random-stream.js";
import type { Reading } from "../../readings/reading.js";
import { expectedInformation, invert } from "../information.js";
import { type Likelihood, likelihoodOf, maximiseLikelihood, profileOf } from "../maximise-likelihood.js";
import { type FrameLaw, frameLaw, type State } from "./frame-law.js";
import { type LatentLaw, lawAtMode } from "./latent-law.js";
import { momentsOf, type SourceLaw } from "./moments.js";

/** The two walks. */
export const WALK = {
  /** Walkers side by side. */
  walkers: 16,
  /** Rounds of the first walk, and the last ones of it that shape the frame of the second. */
  first: 40,
  shaping: 20,
  /** Rounds of the second that are not kept, then so many at a time until they are worth `wanted` independent draws, at most `most`. */
  settling: 16,
  stretch: 32,
  most: 160,
  wanted: 256,
} as const;

/** What a walk saw, and where its walkers stand. */
export interface Walk {
  readonly states: readonly State[];
  /** Sources of each kept round and walker, in their prior standard deviations, row-major (draw, source). */
  readonly sample: Float64Array;
  readonly draws: number;
  /** How many independent draws they are worth, for the source that mixes worst. */
  readonly effective: number;
}

/** The second frame is this much wider than what the first walk saw, as a ratio of variances: it saw little. */
const WIDER = 1.2;

/**
 * A first walk, in the frame of the prior and of values read in the hand or on a bench. Other readings do not shape it: what a gap in a whole cell, or one that is only
 * known to lie between two leaves, says of the sources may have several answers (a sharp point or a blunt one), and the walk is to see them all.
 * It only shapes the second, so pieces are seated at first order.
 */
export function firstWalk(exact: Likelihood, start: Float64Array, stream: RandomStream): Walk {
  const likelihood: Likelihood = { ...exact, job: { ...exact.job, order: "first" } };
  const mode = modeFrom(({ value, bench }) => value !== null && bench !== "cell", likelihood, start);
  const law = frameLaw(likelihood, mode.law, mode.trials);
  const points = drawn(law, stream);
  stride(law, points, WALK.first - WALK.shaping, stream);
  return walkOf(law, points, stride(law, points, WALK.shaping, stream), likelihood);
}

/** What the posterior is known by: draws, and its mean and covariance in the sources' prior standard deviations. */
export interface PosteriorDraws extends Walk {
  readonly law: SourceLaw;
  /** Whether the posterior is normal, its law known without drawing. */
  readonly normal: boolean;
}

/** Goes on from a first walk, in a frame of the shape that it saw. */
export function secondWalk(
  likelihood: Likelihood,
  first: Walk,
  start: Float64Array,
  stream: RandomStream,
): PosteriorDraws {
  const p = likelihood.sources.length;
  const mode = modeFrom(({ value }) => value !== null, likelihood, start);
  const atMode = frameLaw(likelihood, mode.law, mode.trials);
  const probes = drawn(atMode, stream);
  if (isFlat(atMode, probes)) {
    const walk = walkOf(atMode, probes, stride(atMode, probes, WALK.most, stream), likelihood);
    return { ...walk, effective: walk.draws, law: mode.law, normal: true };
  }
  const law = frameLaw(likelihood, momentsOf(first.sample, p, WIDER), mode.trials);
  const points = new Float64Array(WALK.walkers * law.length);
  for (const [k, point] of rowsOf(points, law.length).entries()) law.enter(first.states[k]!, point);
  stride(law, points, WALK.settling, stream);
  const seen: Float64Array[] = [];
  for (;;) {
    seen.push(...stride(law, points, WALK.stretch, stream));
    const walk = walkOf(law, points, seen, likelihood);
    if (walk.effective >= WALK.wanted || seen.length >= WALK.most)
      return { ...walk, law: momentsOf(walk.sample, p), normal: false };
  }
}

function drawn(law: FrameLaw, stream: RandomStream): Float64Array {
  const points = new Float64Array(WALK.walkers * law.length);
  for (const point of rowsOf(points, law.length)) law.draw(point, stream);
  return points;
}

/** Log weights that differ by less are rounding: the frame is the posterior itself. */
const FLAT = 1e-6;

function isFlat(law: FrameLaw, points: Float64Array): boolean {
  const weights = logWeights(law, points, WALK.walkers);
  return Math.max(...weights) - Math.min(...weights) < FLAT;
}

const rowsOf = (points: Float64Array, length: number): Float64Array[] =>
  Array.from({ length: points.length / length }, (_, k) => points.subarray(k * length, (k + 1) * length));

/** Walks on; returns all walkers' sources after each round, row-major (walker, source). */
function stride(law: FrameLaw, points: Float64Array, rounds: number, stream: RandomStream): Float64Array[] {
  const seen: Float64Array[] = [];
  const rows = rowsOf(points, law.length);
  const onRound = (): void => {
    const now = new Float64Array(rows.length * law.sources);
    for (const [k, row] of rows.entries()) law.readSources(row, now, k * law.sources);
    seen.push(now);
  };
  walkEllipses(law, { walkers: WALK.walkers, rounds, stream, points, onRound });
  return seen;
}

function walkOf(
  law: FrameLaw,
  points: Float64Array,
  seen: readonly Float64Array[],
  { sources }: Likelihood,
): Walk {
  const p = sources.length;
  const sample = new Float64Array(seen.length * WALK.walkers * p);
  for (const [round, rows] of seen.entries()) sample.set(rows, round * WALK.walkers * p);
  const draws = seen.length * WALK.walkers;
  const worth = sources.map((_, i) => effectiveDraws(draws, WALK.walkers, (k) => sample[k * p + i]!));
  return {
    ...{ sample, draws },
    effective: Math.min(...worth),
    states: rowsOf(points, law.length).map((row) => law.stateOf(row)),
  };
}

/** The mode that some of the readings give, and normal laws about it. */
function modeFrom(
  shapes: (reading: Reading) => boolean,
  { job, sources, readings }: Likelihood,
  start: Float64Array,
): { law: SourceLaw; trials: LatentLaw[] } {
  const p = sources.length;
  const unit = sources.map(({ trustedTo }) => trustedTo);
  const heard = readings.map((reading) => (shapes(reading) ? reading : { ...reading, ...SILENT }));
  const muted = likelihoodOf(job, sources, heard);
  const { estimates, modes } = maximiseLikelihood(muted, start);
  const mean = estimates.map((value, i) => value / unit[i]!);
  const { terms } = profileOf(muted, modes)(mean);
  return {
    law: { mean, covariance: invert(expectedInformation(terms, p), p) },
    trials: modes.map((mode) => lawAtMode(mode, mean, unit)),
  };
}

/** A reading that says nothing. */
const SILENT = { value: null, low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY };
