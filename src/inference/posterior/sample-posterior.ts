import { effectiveSampleSize, nextPower, sharesOf, systematicPicks } from "../../core/numeric/anneal.js";
import { addScaled, at, entryOf, present, rowOf } from "../../core/numeric/dense.js";
import { choleskyInPlace } from "../../core/numeric/linear-algebra.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";
import type { Order } from "../../model/cell/cell.js";
import { mixtureLoss } from "../likelihood/reading-likelihood.js";
import { expectBlock, type ReadingBlock } from "../likelihood/trial-blocks.js";
import { SCATTER_OF, SCATTERS } from "./block-density.js";
import { initialGaussian } from "./initial-gaussian.js";
import { isNormal } from "./linear-forms.js";
import { drawMixture, mixtureQuantile, normalMixture } from "./normal-posterior.js";
import {
  type PosteriorMode,
  posteriorMode,
  profileOf,
  type TargetDensity,
  targetDensity,
} from "./posterior-mode.js";
import { PosteriorWalk, type ReferenceGaussian, type SideCrossing, type State } from "./posterior-walk.js";
import {
  momentsOf,
  type NormalRows,
  type SourceDistribution,
  type TrialDistribution,
  trialDistribution,
} from "./trial-distribution.js";

/*
 * Sampling of the posterior p(x, u, s | readings) ∝ prior × likelihood over the sources x, all cut-to-cut errors u and the scatters s.
 *
 * `annealToPosterior` is sequential Monte Carlo (../../core/numeric/anneal.ts): walkers drawn from a Gaussian are brought to the posterior by raising the remaining factor of the density from
 * power 0 to 1 in stages, with resampling. `samplePosterior` continues from there, with a Gaussian fitted to them as reference and the moves of `PosteriorWalk`, until the effective
 * sample size is reached (`SAMPLING`). `drawNormal` is the closed form if every reading is linear with normal noise. `mostProbable` is the mode; its search starts from the
 * walkers.
 */

const SAMPLING = {
  /** Number of groups that are annealed independently, so that the spread between them shows the Monte Carlo error of annealing. */
  groups: 8,
  walkersOfGroup: 32,
  /** Effective share of the walkers after each increase of the power, and the maximum number of powers. */
  effectiveShare: 0.4,
  mostStages: 200,
  /** Number of annealed walkers whose readings are linearised for the second reference Gaussian. */
  linearisedAt: 8,
  /** Numbers of rounds: burn-in, batch size, and maximum that is kept. */
  burnIn: 4,
  batch: 2,
  mostRounds: 40,
  /** Sampling ends at this effective sample size, or after `mostRounds` rounds if it is not reached by then. */
  leastEffectiveSize: 500,
  /** Least effective share of draws at first order for which they may be reweighted to exact order. */
  leastShareInOrder: 0.5,
} as const;

const WALKERS = SAMPLING.groups * SAMPLING.walkersOfGroup;

/** Factor on the variance of the second reference Gaussian: few rounds of annealing may underestimate it. */
const REFERENCE_INFLATION = 1.2;

export interface SamplingOptions {
  readonly stream: RandomStream;
  /** Whether the scatters are unknowns; otherwise they are the job's. */
  readonly scatters: boolean;
  /** Whether the cut-to-cut errors of each draw are kept; default false. */
  readonly keepStates?: boolean;
  /** Progress callback; receives a text after each stage and after each batch of draws. */
  readonly onSampling?: (soFar: string) => void;
}

/** Draws from the posterior, and its mean and covariance in the sources' prior standard deviations. */
export interface PosteriorDraws {
  readonly distribution: SourceDistribution;
  /** Quantile of source i at a given probability, in its prior standard deviations, if the posterior is known in closed form (`distribution` is then exact); otherwise `null`. */
  readonly quantile: ((i: number, probability: number) => number) | null;
  /** Sources of each draw, in their prior standard deviations, row-major (draw, source). */
  readonly sample: Float64Array;
  /** Between-cut standard deviations of each draw, row-major (draw, one of `SCATTERS`), as ratios to the job's. */
  readonly ratios: Float64Array;
  /** Effective sample size of the source that mixes worst. */
  readonly effectiveSampleSize: number;
  /** The draws with their cut-to-cut errors (in the job's standard deviations), in the order of `sample`; empty if they are not kept. */
  readonly states: readonly State[];
  /** Final states of the walkers. */
  readonly last: readonly State[];
}

/** Draws from the posterior whose density is `target`. */
export function drawPosterior(target: TargetDensity, options: SamplingOptions): PosteriorDraws {
  const { job, readings } = target;
  const { prior } = target;
  const hasNormalPrior = prior === null || prior.cases.length === 1;
  if (hasNormalPrior && readings.every((reading) => isNormal(reading, job)))
    return drawNormal(target, options);
  return samplePosterior(target, annealToPosterior(target, options), options);
}

const CLOSED_FORM_DRAWS = 2048;

/** Independent draws if every reading is linear with normal noise. */
function drawNormal(
  target: TargetDensity,
  { stream, scatters, keepStates }: SamplingOptions,
): PosteriorDraws {
  const mixture = normalMixture(target, scatters);
  const states = drawMixture(target, mixture, CLOSED_FORM_DRAWS, stream);
  return {
    distribution: mixture.distribution,
    effectiveSampleSize: states.length,
    states: keepStates ? states : [],
    last: states,
    sample: joined(states.map(({ sources }) => sources)),
    ratios: joined(states.map(({ ratios }) => ratios)),
    quantile: (i, probability) => mixtureQuantile(mixture, i, probability),
  };
}

/**
 * Anneals walkers in stages from the Gaussian of priors and measured values to the posterior. A gap may have several explanations (a sharp point or a blunt one);
 * resampling gives each mode its share of the walkers. The result is only the starting point of `samplePosterior`, so cells are seated at first order.
 */
export function annealToPosterior(
  exact: TargetDensity,
  { stream, scatters, onSampling }: SamplingOptions,
): State[] {
  const target: TargetDensity = { ...exact, job: { ...exact.job, order: "first" } };
  const walk = new PosteriorWalk(target, initialGaussian(target), {
    stream,
    scatters,
    walkers: WALKERS,
  });
  walk.draw();
  for (let stage = 1, power = 0; power < 1; stage++) {
    if (stage > SAMPLING.mostStages)
      throw new RangeError(
        `The weight could not be raised to its full power in ${SAMPLING.mostStages} stages.`,
      );
    const logs = walk.logWeights();
    const more = nextPower(logs, 1 - power, SAMPLING.effectiveShare * WALKERS);
    walk.gather(picksInGroups(logs, more, stream));
    power = more === 1 - power ? 1 : power + more;
    walk.power = power;
    onSampling?.(`stage ${stage} of the search`);
    roundOf(walk);
  }
  return walk.states();
}

/** Resampling within each group. */
function picksInGroups(logs: Float64Array, more: number, stream: RandomStream): Int32Array {
  const size = SAMPLING.walkersOfGroup;
  const picks = new Int32Array(logs.length);
  for (let from = 0; from < logs.length; from += size) {
    const shares = sharesOf(logs.subarray(from, from + size), more);
    for (const [k, pick] of systematicPicks(shares, stream.uniform()).entries())
      picks[from + k] = from + pick;
  }
  return picks;
}

function roundOf(walk: PosteriorWalk): void {
  walk.moveSources();
  walk.moveBlocks();
  walk.moveSources();
  walk.moveScatters();
}

/**
 * Draws from the posterior in the job's order, continuing from annealed walkers. For exact order the walk runs at first order and the draws are resampled by the ratio of the two
 * likelihoods, which costs one evaluation per draw; if the orders differ too much for that, the walk itself runs in exact order.
 */
export function samplePosterior(
  stated: TargetDensity,
  annealed: readonly State[],
  options: SamplingOptions,
): PosteriorDraws {
  const { scatters } = options;
  const typical = typicalRatios(annealed);
  const target = scatters ? targetWithScatters(stated, typical) : stated;
  const start = annealed.map((state) => inUnitsOfScatters(state, stated, typical));
  const reference: ReferenceGaussian = {
    distribution: momentsOf(
      joined(start.map(({ sources }) => sources)),
      stated.sources.length,
      REFERENCE_INFLATION,
    ),
    trials: averageTrialDistributions(target, thinned(start, SAMPLING.linearisedAt)),
  };
  const sampling = { ...options, target, reference, start, typical };
  const draws = sampleInOrder(sampling, "first");
  return draws ?? present(sampleInOrder(sampling, stated.job.order));
}

interface Sampling extends SamplingOptions {
  readonly target: TargetDensity;
  readonly reference: ReferenceGaussian;
  readonly start: readonly State[];
  /** Ratios of the target's scatters to the stated ones. */
  readonly typical: Float64Array;
}

/** Draws from a walk that seats cells in the given order; `null` if they cannot be reweighted to the job's order. */
function sampleInOrder(
  { target, reference, start, typical, stream, scatters, keepStates = false, onSampling }: Sampling,
  order: Order,
): PosteriorDraws | null {
  const p = target.sources.length;
  const walkers = start.length;
  const walked = { ...target, job: { ...target.job, order } };
  const walk = new PosteriorWalk(walked, reference, { walkers, stream, scatters, overStated: typical });
  walk.start(start);
  const finer = order === target.job.order ? null : walk.gapPartsOf(target);
  const crossings = crossingsOf(target, start);
  const round = (): void => {
    roundOf(walk);
    for (const crossing of crossings) walk.cross(crossing);
  };
  for (let k = 0; k < SAMPLING.burnIn; k++) round();
  const [rounds, ratios, logs]: [Float64Array[], Float64Array[], Float64Array[]] = [[], [], []];
  const kept: State[] = [];
  const back = typical.map((ratio) => 1 / ratio);
  const inStated = (states: readonly State[]): State[] =>
    scatters ? states.map((state) => inUnitsOfScatters(state, target, back)) : [...states];
  for (;;) {
    for (let k = 0; k < SAMPLING.batch; k++) {
      round();
      rounds.push(walk.sources());
      if (keepStates) kept.push(...inStated(walk.states()));
      ratios.push(walk.ratios.map((ratio, i) => ratio * at(typical, i % SCATTERS.length)));
      if (finer) logs.push(walk.logRatios(finer));
    }
    const all = joined(rounds);
    const shares = finer ? sharesOf(joined(logs), 1) : null;
    const share = shares ? 1 / shares.reduce((sum, share) => sum + share ** 2, 0) / shares.length : 1;
    if (share < SAMPLING.leastShareInOrder) return null;
    const size = share * leastEffectiveSize(all, p);
    const done = Math.max(size / SAMPLING.leastEffectiveSize, rounds.length / SAMPLING.mostRounds);
    onSampling?.(`${Math.floor(100 * Math.min(1, done))} % of the draws`);
    if (size < SAMPLING.leastEffectiveSize && rounds.length < SAMPLING.mostRounds) continue;
    const picks = shares ? systematicPicks(shares, stream.uniform()) : null;
    const picked = (values: Float64Array, width: number): Float64Array =>
      picks ? joined(Array.from(picks, (from) => rowOf(values, from, width))) : values;
    const sample = picked(all, p);
    return {
      sample,
      effectiveSampleSize: size,
      quantile: null,
      states: picks && keepStates ? Array.from(picks, (from) => at(kept, from)) : kept,
      last: inStated(walk.states()),
      ratios: picked(joined(ratios), SCATTERS.length),
      distribution: momentsOf(sample, p, varianceInflation(size)),
    };
  }
}

/** Geometric mean of the walkers' ratios of the scatters to the job's. */
function typicalRatios(states: readonly State[]): Float64Array {
  return Float64Array.from(SCATTERS, (_, i) =>
    Math.exp(states.reduce((sum, { ratios }) => sum + Math.log(at(ratios, i)) / states.length, 0)),
  );
}

/** The target density with the job's scatters multiplied by ratios. */
function targetWithScatters(
  { job, sources, readings, cells }: TargetDensity,
  ratios: Float64Array,
): TargetDensity {
  const { angle, length, thickness } = job.betweenCutSd;
  const betweenCutSd = {
    angle: angle * at(ratios, 0),
    length: length * at(ratios, 1),
    thickness: thickness * at(ratios, 2),
  };
  return targetDensity({ ...job, betweenCutSd }, sources, readings, cells);
}

/** A state's cut-to-cut errors in units of scatters that are `by` times the job's. */
export function inUnitsOfScatters(state: State, { blocks }: TargetDensity, by: Float64Array): State {
  return {
    ...state,
    ratios: state.ratios.map((ratio, i) => ratio / at(by, i)),
    latents: blocks.map(({ kinds }, b) =>
      at(state.latents, b).map((u, k) => {
        const of = SCATTER_OF[at(kinds, k)];
        return of < 0 ? u : u / at(by, of);
      }),
    ),
  };
}

/** Least share of either side among annealed walkers at which crossings are proposed. */
const LEAST_SIDE_SHARE = 0.02;

/** Crossings for the ramps and leans that have walkers on both sides of zero. */
function crossingsOf({ sources, blocks }: TargetDensity, states: readonly State[]): SideCrossing[] {
  const p = sources.length;
  return [...sources.keys()].flatMap((source) => {
    if (!at(sources, source).angular) return [];
    const above = states.filter(({ sources: x }) => at(x, source) > 0);
    const below = states.filter(({ sources: x }) => !(at(x, source) > 0));
    if (Math.min(above.length, below.length) < LEAST_SIDE_SHARE * states.length) return [];
    const errors = blocks.flatMap(({ parts }, b) => {
      const found = new Set<number>();
      for (const { specimen, latent } of parts)
        for (const [e, k] of latent.entries())
          if (k >= 0 && entryOf(specimen.matrix, e, source, p) !== 0) found.add(k);
      return [...found].map((k): [number, number] => [b, k]);
    });
    return [{ source, errors, above: sideOf(above, p), below: sideOf(below, p) }];
  });
}

/** Share of the prior variance that is added to each variance of a side, because a side may have few walkers. */
const SIDE_SHRINKAGE = 0.02;

function sideOf(states: readonly State[], p: number): SideCrossing["above"] {
  const { mean, covariance } = momentsOf(joined(states.map(({ sources }) => sources)), p);
  const root = covariance.map((value, k) => (k % (p + 1) === 0 ? value + SIDE_SHRINKAGE : value));
  choleskyInPlace(root, p);
  return { mean, root };
}

/** Inflation (n + 1)/(n − 1) of the variance of n draws: their own mean was subtracted, and that mean is uncertain too. */
const varianceInflation = (n: number): number => (n + 1) / Math.max(n - 1, 1);

function joined(rounds: readonly Float64Array[]): Float64Array {
  const all = new Float64Array(rounds.reduce((sum, { length }) => sum + length, 0));
  let to = 0;
  for (const round of rounds) {
    all.set(round, to);
    to += round.length;
  }
  return all;
}

/** About `count` of the walkers, evenly spaced. */
const thinned = (states: readonly State[], count: number): State[] =>
  states.filter((_, k) => k % Math.ceil(states.length / count) === 0);

/**
 * Effective sample size of the source that mixes worst, from the variance between walkers and from that between groups. There are few groups, so their estimate is
 * averaged over the sources.
 */
function leastEffectiveSize(sample: Float64Array, p: number): number {
  const sizes = (batches: number): number[] =>
    Array.from({ length: p }, (_, i) =>
      effectiveSampleSize(sample.length / p, { walkers: WALKERS, batches }, (k) => at(sample, k * p + i)),
    );
  const groups = sizes(SAMPLING.groups);
  const average = p / groups.reduce((sum, size) => sum + 1 / size, 0);
  return Math.min(average, ...sizes(WALKERS));
}

/** Number of walkers whose densities are compared to choose the start of the search. */
const STARTS = 6;

/**
 * The most probable sources and cut-to-cut errors. The search starts from the walker of highest density: from the prior mean it could stop at the kink of a closing
 * joint, or at the smaller of two modes of a gap read at its widest. Walkers are compared at first order, each with the cut-to-cut errors that are most probable for its sources.
 */
export function mostProbable(target: TargetDensity, states: readonly State[]): PosteriorMode {
  const first: TargetDensity = { ...target, job: { ...target.job, order: "first" } };
  const found = thinned(states, STARTS).map(({ sources, latents }) => {
    const near = latents.map((own) => ({ latents: own }));
    const { terms, modes } = profileOf(first, near)(sources);
    return { sources, modes, value: terms.value };
  });
  const { sources, modes } = found.reduce((a, b) => (b.value < a.value ? b : a));
  const from = sources.map((value, i) => value * at(target.sources, i).priorSd);
  return posteriorMode(target, from, modes);
}

/**
 * For each trial the distribution of its cut-to-cut errors, with its readings linearised and averaged over states of walkers: at each state a reading is a row of slope √ρ″·∂μ.
 * A reading whose slope changes from state to state therefore has little weight. First order is sufficient, since a reference Gaussian need not be exact.
 */
export function averageTrialDistributions(
  target: TargetDensity,
  states: readonly State[],
): TrialDistribution[] {
  const first = { ...target, job: { ...target.job, order: "first" as const } };
  return target.blocks.map((block, b) =>
    trialDistribution(averageRows(first, block, b, states), block.latents),
  );
}

function averageRows(
  { job, sources }: TargetDensity,
  block: ReadingBlock,
  b: number,
  states: readonly State[],
): NormalRows {
  const [n, r, p] = [block.latents, block.readings.length, sources.length];
  const out = { a: new Float64Array(r * n), b: new Float64Array(r * p), y: new Float64Array(r) };
  const share = 1 / states.length;
  const unit = Float64Array.from(sources, ({ priorSd }) => priorSd);
  for (const { sources: x, latents } of states) {
    const u = at(latents, b);
    const { mu, byLatent, bySource } = expectBlock(job, block, scaled(x, unit), u);
    for (const [i, reading] of block.readings.entries()) {
      const { slope, curvature } = mixtureLoss(reading, at(mu, i), at(block.noise, i), job.mistakes);
      if (!(curvature > 0)) continue;
      const root = Math.sqrt(curvature);
      const own = rowOf(byLatent, i, n).map((by) => root * by);
      const shared = scaled(
        rowOf(bySource, i, p).map((by) => root * by),
        unit,
      );
      let y = -slope / root;
      for (const [k, by] of own.entries()) y += by * at(u, k);
      for (const [c, by] of shared.entries()) y += by * at(x, c);
      addScaled(rowOf(out.a, i, n), own, share);
      addScaled(rowOf(out.b, i, p), shared, share);
      out.y[i] = at(out.y, i) + share * y;
    }
  }
  return informativeRows(out, n, p);
}

const scaled = (values: Float64Array, by: Float64Array): Float64Array =>
  values.map((value, i) => value * at(by, i));

/** The rows that depend on any cut-to-cut error. */
function informativeRows({ a, b, y }: NormalRows, n: number, p: number): NormalRows {
  const kept = [...y.keys()].filter((i) => rowOf(a, i, n).some((by) => by !== 0));
  const of = (from: Float64Array, width: number): Float64Array =>
    joined(kept.map((i) => rowOf(from, i, width)));
  return { a: of(a, n), b: of(b, p), y: of(y, 1) };
}
