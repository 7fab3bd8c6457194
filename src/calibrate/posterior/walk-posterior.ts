import { anneal } from "../../numeric/anneal.js";
import { effectiveDraws } from "../../numeric/effective-draws.js";
import { walkEllipses } from "../../numeric/elliptical-slice.js";
import type { RandomStream } from "../../numeric/random-stream.js";
import type { Likelihood } from "../maximise-likelihood.js";
import { type FrameLaw, frameLaw, type State } from "./frame-law.js";
import { handFrame } from "./hand-frame.js";
import { isNormal } from "./linear-forms.js";
import { momentsOf, type SourceLaw } from "./moments.js";
import { lawsOverStates } from "./rows-over-states.js";

/** The two walks. */
export const WALK = {
  /** Walkers side by side. */
  walkers: 128,
  /** Rounds of the first walk at each power of the weight. */
  rounds: 3,
  /** So many walkers of the first shape the frame of the second. */
  shaping: 8,
  /** Rounds of the second that are not kept, then so many at a time until they are worth `wanted` independent draws, at most `most`. */
  settling: 2,
  stretch: 4,
  most: 8,
  wanted: 128,
} as const;

/** Where the walkers of a walk stand. */
export interface Walk {
  readonly states: readonly State[];
}

/** The second frame is this much wider than what the first walk saw, as a ratio of variances: it saw little. */
const WIDER = 1.2;

/**
 * A first walk, from the prior and the values read in the hand to the posterior by stages. What a gap says of the sources may have several answers (a sharp point or a blunt one),
 * and the walkers are to be on each as often as it is likely. It only shapes the second walk, so pieces are seated at first order.
 */
export function firstWalk(exact: Likelihood, stream: RandomStream): Walk {
  const likelihood: Likelihood = { ...exact, job: { ...exact.job, order: "first" } };
  const law = frameLaw(likelihood, handFrame(likelihood));
  const points = drawn(law, stream);
  if (law.parts.length > 0) anneal(law, { walkers: WALK.walkers, rounds: WALK.rounds, stream, points });
  return { states: statesOf(law, points) };
}

/** What the posterior is known by: draws, and its mean and covariance in the sources' prior standard deviations. */
export interface PosteriorDraws {
  readonly law: SourceLaw;
  /** Whether the posterior is normal, its law known without drawing. */
  readonly normal: boolean;
  /** Sources of each draw, in their prior standard deviations, row-major (draw, source). */
  readonly sample: Float64Array;
  /** How many independent draws they are worth, for the source that mixes worst. */
  readonly effective: number;
}

/** Goes on from a first walk, in a frame of the shape that it saw. */
export function secondWalk(likelihood: Likelihood, { states }: Walk, stream: RandomStream): PosteriorDraws {
  const { job, readings } = likelihood;
  if (readings.every((reading) => isNormal(reading, job))) return drawnOnly(likelihood, stream);
  const p = likelihood.sources.length;
  const seen = new Float64Array(states.length * p);
  for (const [k, { sources }] of states.entries()) seen.set(sources, k * p);
  const shaping = states.filter((_, k) => k % Math.ceil(states.length / WALK.shaping) === 0);
  const trials = lawsOverStates(likelihood, shaping);
  const law = frameLaw(likelihood, { law: momentsOf(seen, p, WIDER), trials, exact: false });
  const points = new Float64Array(WALK.walkers * law.length);
  for (const [k, point] of rowsOf(points, law.length).entries()) law.enter(states[k]!, point);
  stride(law, points, WALK.settling, stream);
  const rounds: Float64Array[] = [];
  for (;;) {
    rounds.push(...stride(law, points, WALK.stretch, stream));
    const sample = joined(rounds);
    const effective = worstWorth(sample, p);
    if (effective >= WALK.wanted || rounds.length >= WALK.most)
      return { sample, effective, law: momentsOf(sample, p, drawnWider(effective)), normal: false };
  }
}

/** The mean square of what n independent draws' mean is off by, over what they scatter by: they are few, and their mean is off itself. */
const drawnWider = (n: number): number => (n + 1) / Math.max(n - 1, 1);

/** Draws of a posterior that is the frame itself. */
function drawnOnly(likelihood: Likelihood, stream: RandomStream): PosteriorDraws {
  const frame = handFrame(likelihood);
  const law = frameLaw(likelihood, frame);
  const rounds = Array.from({ length: WALK.most }, () => sourcesNow(law, drawn(law, stream)));
  return { sample: joined(rounds), effective: rounds.length * WALK.walkers, law: frame.law, normal: true };
}

function drawn(law: FrameLaw, stream: RandomStream): Float64Array {
  const points = new Float64Array(WALK.walkers * law.length);
  for (const point of rowsOf(points, law.length)) law.draw(point, stream);
  return points;
}

const rowsOf = (points: Float64Array, length: number): Float64Array[] =>
  Array.from({ length: points.length / length }, (_, k) => points.subarray(k * length, (k + 1) * length));

const statesOf = (law: FrameLaw, points: Float64Array): State[] =>
  rowsOf(points, law.length).map((row) => law.stateOf(row));

/** All walkers' sources, row-major (walker, source). */
function sourcesNow(law: FrameLaw, points: Float64Array): Float64Array {
  const now = new Float64Array(WALK.walkers * law.sources);
  for (const [k, row] of rowsOf(points, law.length).entries()) law.readSources(row, now, k * law.sources);
  return now;
}

/** Walks on; returns all walkers' sources after each round. */
function stride(law: FrameLaw, points: Float64Array, rounds: number, stream: RandomStream): Float64Array[] {
  const seen: Float64Array[] = [];
  const onRound = (): void => void seen.push(sourcesNow(law, points));
  walkEllipses(law, { walkers: WALK.walkers, rounds, stream, points, onRound });
  return seen;
}

function joined(rounds: readonly Float64Array[]): Float64Array {
  const [size = 0] = rounds.map(({ length }) => length);
  const all = new Float64Array(rounds.length * size);
  for (const [r, round] of rounds.entries()) all.set(round, r * size);
  return all;
}

function worstWorth(sample: Float64Array, p: number): number {
  const draws = sample.length / p;
  const worth = Array.from({ length: p }, (_, i) =>
    effectiveDraws(draws, WALK.walkers, (k) => sample[k * p + i]!),
  );
  return Math.min(...worth);
}
