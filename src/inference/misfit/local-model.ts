import {
  addScaled,
  at,
  diagonalOf,
  identity,
  innerProduct,
  rowOf,
  rowTimes,
} from "../../core/numeric/dense.js";
import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import type { Reading } from "../../model/readings.js";
import type { Source } from "../../model/sources.js";
import { informedScatters } from "../estimates/scatters.js";
import { mixtureLoss } from "../likelihood/reading-likelihood.js";
import { caseAt } from "../likelihood/source-prior.js";
import { expectBlock, type ReadingBlock } from "../likelihood/trial-blocks.js";
import { SCATTER_OF } from "../posterior/block-density.js";
import { inPriorSds, type PosteriorMode, type TargetDensity } from "../posterior/posterior-mode.js";
import { logScatterPrior } from "../posterior/posterior-walk.js";
import { type Departure, type ExtraUnknown, NO_DEPARTURE } from "./departure.js";

/** One trial near the mode: its readings as linear functions of the sources (in prior standard deviations) and of its cut-to-cut errors (in stated standard deviations). */
interface LocalTrial {
  readonly trial: string;
  readonly readings: readonly Reading[];
  readonly latents: number;
  readonly block: ReadingBlock;
  /** Predictions at zero sources and zero cut-to-cut errors, mm or rad. */
  readonly constant: Float64Array;
  /** Slopes of the predictions, row-major (reading, source) and (reading, cut-to-cut error). */
  readonly bySource: Float64Array;
  readonly byLatent: Float64Array;
}

/** A model's evidence at its most probable scatters. */
export interface Evidence {
  /** Log evidence plus the log prior density of the scatters, up to a constant that all models share. */
  readonly log: number;
  /** Ratios of the scatters to the job's. */
  readonly ratios: readonly number[];
  /** Sources (in prior standard deviations), then the extension's unknowns (in theirs). */
  readonly unknowns: Float64Array;
}

/** See {@link LocalModel.scores}. */
export interface Scores {
  readonly gram: Float64Array;
  readonly pull: Float64Array;
}

type Extension = Omit<Departure, "reason" | "share">;

const MOST_STEPS = 15;
/** Convergence tolerance of the mode: change of the predictions in standard deviations of their readings. */
const CLOSE = 1e-3;
const SMALLEST_STEP = 1 / 32;

/**
 * The readings near their mode, where every prediction is a linear function of the unknowns. Extensions of the model are then compared by their evidence (Laplace's approximation at the
 * mode of each, which for readings with values and normal noise is exact); intervals and open ends keep their own likelihood.
 */
export class LocalModel {
  readonly sources: readonly Source[];
  readonly trials: readonly LocalTrial[];
  /** Standard deviation of each reading due to its instrument, mm or rad, in the order of the readings. */
  readonly noise: Float64Array;
  /** When each trial was cut, as any increasing number. */
  readonly order: readonly number[];
  /** For each of `SCATTERS`, whether readings depend on it. */
  readonly informed: readonly boolean[];
  readonly #mistakes: number;
  /** The mode of the model as it stands, from which the search for the modes of extensions starts: sources in prior standard deviations, cut-to-cut errors in stated ones. */
  readonly #start: Point;
  readonly #mean: Float64Array;
  readonly #precision: Float64Array;

  constructor(target: TargetDensity, { estimates, modes }: PosteriorMode, order: readonly number[]) {
    const { job, sources, blocks, readings, prior } = target;
    const p = sources.length;
    const x = inPriorSds(estimates, sources);
    this.sources = sources;
    this.order = order;
    this.informed = informedScatters(target);
    this.#start = { x, u: modes.map(({ latents }) => latents) };
    this.#mistakes = job.mistakes;
    const own = prior && caseAt(prior, x);
    this.#mean = own?.mean ?? Float64Array.from(sources, ({ priorMean = 0, priorSd }) => priorMean / priorSd);
    this.#precision = identity(p);
    if (own) {
      this.#precision.fill(0);
      for (let k = 0; k < p; k++) {
        const row = rowOf(own.whitening, k, p);
        for (let i = 0; i < p; i++) addScaled(rowOf(this.#precision, i, p), row, at(row, i));
      }
    }
    const noise = new Float64Array(readings.length);
    this.trials = blocks.map((block, b) => {
      const { latents } = at(modes, b);
      const { mu, bySource, byLatent } = expectBlock(job, block, estimates, latents);
      const scaled = bySource.map((slope, k) => slope * at(sources, k % p).priorSd);
      for (const [i, place] of block.places.entries()) noise[place] = at(block.noise, i);
      return {
        trial: block.trial,
        readings: block.readings,
        latents: block.latents,
        block,
        byLatent,
        bySource: scaled,
        constant: mu.map(
          (value, i) => value - rowTimes(scaled, i, p, x) - rowTimes(byLatent, i, block.latents, latents),
        ),
      };
    });
    this.noise = noise;
  }

  /** Whether a trial's readings are sensitive enough to a source: by a tenth of what its prior and the instrument allow to detect. */
  dependsOn(trial: number, source: number): boolean {
    const { bySource, block } = at(this.trials, trial);
    const p = this.sources.length;
    return block.noise.some((noise, i) => Math.abs(at(bySource, i * p + source)) > noise / 10);
  }

  /** The evidence maximised over the scatters, with the search starting at the given ratios. */
  best(extension: Extension, from: readonly number[]): Evidence {
    let found = this.evidence(extension, from);
    for (const step of SCATTER_STEPS) {
      for (const [k, informed] of this.informed.entries()) {
        if (!informed) continue;
        const beside = [-step, step].map((by) => this.evidence(extension, scaled(found.ratios, k, by)));
        const [less, more] = [at(beside, 0), at(beside, 1)];
        const bend = less.log + more.log - 2 * found.log;
        const top =
          bend < 0 ? (step * (less.log - more.log)) / (2 * bend) : Math.sign(more.log - less.log) * step;
        const there = this.evidence(
          extension,
          scaled(found.ratios, k, Math.max(-3 * step, Math.min(3 * step, top))),
        );
        for (const one of [less, more, there]) if (one.log > found.log) found = one;
      }
    }
    return found;
  }

  /** The evidence of an extension at given scatters. */
  evidence(extension: Extension, ratios: readonly number[]): Evidence {
    const { unknowns, scatters } = extension;
    const found = this.#mode(this.#prepared(extension, ratios), this.sources.length + unknowns.length);
    let log = found.log;
    for (const [k, ratio] of ratios.entries())
      if (this.informed[k]) log += logScatterPrior(ratio / at(scatters, k));
    return { log, ratios, unknowns: found.unknowns };
  }

  #prepared(extension: Extension, ratios: readonly number[]): PreparedTrial[] {
    const { unknowns, noise, odd } = extension;
    const swapped = swappedReadings(extension, this.trials);
    return this.trials.map((trial, b) => {
      const factor = odd?.block === b ? odd.factor : 1;
      const own = trial.block.kinds.map((kind) => factor * (ratios[SCATTER_OF[kind]] ?? 1));
      const n = trial.latents;
      return {
        trial,
        latents: n,
        scales: own,
        readings: swapped?.[b] ?? trial.readings,
        slopes: extended(trial, b, this.sources, unknowns),
        byLatent: trial.byLatent.map((slope, k) => slope * at(own, k % n)),
        noise: noise
          ? trial.block.noise.map((sd, i) =>
              at(trial.readings, i).instrument === noise.instrument ? sd * noise.factor : sd,
            )
          : trial.block.noise,
      };
    });
  }

  /**
   * Gain in log density from several small additions to the predictions, to second order at the mode of the model as it stands: Σ z_k·c_k raises the log density by zᵀh − ½·zᵀGz, maximised over the
   * sources and cut-to-cut errors.
   *
   * @param additions for each trial, by the index k of the addition, the change c_k of each of the trial's predictions, mm or rad.
   * @returns G, row-major, and h.
   */
  scores(
    additions: readonly (readonly { readonly k: number; readonly change: Float64Array }[])[],
    count: number,
    ratios: readonly number[],
  ): Scores {
    const p = this.sources.length;
    const trials = this.#prepared(NO_DEPARTURE, ratios);
    const { mu } = this.#mode(trials, p);
    const { target, parts, information } = this.#newton(trials, mu, this.#mean, this.#precision);
    const gram = new Float64Array(count * count);
    const pull = new Float64Array(count);
    const across = Array.from({ length: count }, () => new Float64Array(p));
    for (const [b, { root, factor, white, whiteZ, r }] of parts.entries()) {
      const left = whiteZ.map((value, i) => value - rowTimes(white, i, p, target.x));
      const columns = at(additions, b).map(({ k, change }) => {
        const own = root.map((weight, i) => weight * at(change, i));
        for (let i = 0; i < r; i++) {
          for (let j = 0; j < i; j++) own[i]! -= factor[i * r + j]! * own[j]!;
          own[i]! /= factor[i * r + i]!;
        }
        return { k, own };
      });
      for (const { k, own } of columns) {
        pull[k] = at(pull, k) + innerProduct(own, left);
        for (let i = 0; i < r; i++) addScaled(at(across, k), rowOf(white, i, p), own[i]!);
        for (const other of columns) gram[k * count + other.k]! += innerProduct(own, other.own);
      }
    }
    for (let k = 0; k < count; k++) {
      const solved = at(across, k).slice();
      choleskySolveInPlace(information, p, solved);
      for (let l = 0; l < count; l++) gram[k * count + l]! -= innerProduct(solved, at(across, l));
    }
    return { gram, pull };
  }

  /** Finds the mode by Newton's method, and the log evidence there. */
  #mode(
    trials: readonly PreparedTrial[],
    P: number,
  ): { log: number; unknowns: Float64Array; mu: readonly Float64Array[] } {
    const p = this.sources.length;
    const mean = new Float64Array(P);
    mean.set(this.#mean);
    const precision = identity(P);
    for (let i = 0; i < p; i++) precision.set(rowOf(this.#precision, i, p), i * P);
    const penalty = (x: Float64Array): number => {
      const off = x.map((value, i) => value - at(mean, i));
      return off.reduce((sum, value, i) => sum + (value * rowTimes(precision, i, P, off)) / 2, 0);
    };
    let now: Point = {
      x: Float64Array.from(mean, (value, i) => this.#start.x[i] ?? value),
      u: trials.map(({ scales }, b) => at(this.#start.u, b).map((value, k) => value / at(scales, k))),
    };
    let mu = trials.map((trial, b) => predicted(trial, now.x, at(now.u, b)));
    let value = this.#loss(trials, mu, now) + penalty(now.x);
    for (let step = 0; ; step++) {
      const { target, determinant } = this.#newton(trials, mu, mean, precision);
      const log = -value - determinant;
      if (step >= MOST_STEPS) return { log, unknowns: now.x, mu };
      let share = 1;
      for (; ; share /= 2) {
        const next = between(now, target, share);
        const there = trials.map((trial, b) => predicted(trial, next.x, at(next.u, b)));
        const loss = this.#loss(trials, there, next) + penalty(next.x);
        if (loss <= value + 1e-9 * Math.abs(value) || share < SMALLEST_STEP) {
          const moved = farthest(trials, mu, there);
          if (loss > value + 1e-6) return { log, unknowns: now.x, mu };
          [now, mu, value] = [next, there, loss];
          if (moved < CLOSE) return { log: -value - determinant, unknowns: now.x, mu };
          break;
        }
      }
    }
  }

  #loss(trials: readonly PreparedTrial[], mu: readonly Float64Array[], { u }: Point): number {
    let sum = 0;
    for (const [b, { readings, noise }] of trials.entries()) {
      for (const [i, reading] of readings.entries())
        sum += mixtureLoss(reading, at(at(mu, b), i), at(noise, i), this.#mistakes).value;
      for (const value of at(u, b)) sum += (value * value) / 2;
    }
    return sum;
  }

  /** Mode of the normal approximation at the predictions `mu`, and half the log determinant of its precision. */
  #newton(
    trials: readonly PreparedTrial[],
    mu: readonly Float64Array[],
    mean: Float64Array,
    precision: Float64Array,
  ): { target: Point; determinant: number; parts: readonly WhitenedTrial[]; information: Float64Array } {
    const P = mean.length;
    const information = precision.slice();
    const right = Float64Array.from(mean, (_, i) => rowTimes(precision, i, P, mean));
    let determinant = 0;
    const parts = trials.map(({ readings, noise, slopes, byLatent, latents, trial }, b) => {
      const r = readings.length;
      const own = at(mu, b);
      const root = new Float64Array(r);
      const z = new Float64Array(r);
      for (const [i, reading] of readings.entries()) {
        const { slope, curvature } = mixtureLoss(reading, at(own, i), at(noise, i), this.#mistakes);
        root[i] = Math.sqrt(curvature);
        z[i] = curvature > 0 ? root[i]! * (own[i]! - trial.constant[i]!) - slope / root[i]! : 0;
      }
      const factor = new Float64Array(r * r);
      for (let i = 0; i < r; i++) {
        const row = rowOf(byLatent, i, latents);
        for (let j = 0; j <= i; j++) {
          const entry =
            root[i]! * root[j]! * innerProduct(row, rowOf(byLatent, j, latents)) + (i === j ? 1 : 0);
          factor[i * r + j] = entry;
          factor[j * r + i] = entry;
        }
      }
      choleskyInPlace(factor, r, 0);
      for (const pivot of diagonalOf(factor)) determinant += Math.log(pivot);
      const rows = slopes.map((slope, k) => slope * root[Math.floor(k / P)]!);
      const white = rows.slice();
      const whiteZ = z.slice();
      for (let i = 0; i < r; i++) {
        const row = rowOf(white, i, P);
        for (let k = 0; k < i; k++) {
          const lower = factor[i * r + k]!;
          addScaled(row, rowOf(white, k, P), -lower);
          whiteZ[i]! -= lower * whiteZ[k]!;
        }
        const pivot = factor[i * r + i]!;
        for (let c = 0; c < P; c++) row[c]! /= pivot;
        whiteZ[i]! /= pivot;
        for (let c = 0; c < P; c++) if (row[c] !== 0) addScaled(rowOf(information, c, P), row, row[c]!);
        addScaled(right, row, whiteZ[i]!);
      }
      return { root, z, factor, rows, r, white, whiteZ };
    });
    choleskyInPlace(information, P, 0);
    for (const pivot of diagonalOf(information)) determinant += Math.log(pivot);
    const x = right;
    choleskySolveInPlace(information, P, x);
    const u = parts.map(({ root, z, factor, rows, r }, b) => {
      const { byLatent, latents } = at(trials, b);
      const left = z.map((value, i) => value - rowTimes(rows, i, P, x));
      choleskySolveInPlace(factor, r, left);
      const out = new Float64Array(latents);
      for (let i = 0; i < r; i++) addScaled(out, rowOf(byLatent, i, latents), root[i]! * left[i]!);
      return out;
    });
    return { target: { x, u }, determinant, parts, information };
  }
}

/** Step sizes of the first and second pass of the search over the log of a scatter. */
const SCATTER_STEPS = [0.3, 0.15];

const scaled = (ratios: readonly number[], k: number, by: number): number[] =>
  ratios.map((ratio, i) => (i === k ? ratio * Math.exp(by) : ratio));

interface PreparedTrial {
  readonly trial: LocalTrial;
  readonly readings: readonly Reading[];
  readonly latents: number;
  /** Ratio of the standard deviation of each cut-to-cut error to the stated one. */
  readonly scales: readonly number[];
  readonly slopes: Float64Array;
  readonly byLatent: Float64Array;
  readonly noise: Float64Array;
}

/** A trial's readings in units in which they are independent with a standard deviation of 1. */
interface WhitenedTrial {
  readonly root: Float64Array;
  readonly factor: Float64Array;
  readonly white: Float64Array;
  readonly whiteZ: Float64Array;
  readonly r: number;
}

interface Point {
  readonly x: Float64Array;
  readonly u: readonly Float64Array[];
}

const between = (a: Point, b: Point, share: number): Point =>
  share === 1
    ? b
    : {
        x: a.x.map((value, i) => value + share * (at(b.x, i) - value)),
        u: a.u.map((own, t) => own.map((value, k) => value + share * (at(at(b.u, t), k) - value))),
      };

const predicted = (
  { trial, slopes, byLatent, latents }: PreparedTrial,
  x: Float64Array,
  u: Float64Array,
): Float64Array =>
  trial.constant.map(
    (value, i) => value + rowTimes(slopes, i, x.length, x) + rowTimes(byLatent, i, latents, u),
  );

const farthest = (
  trials: readonly PreparedTrial[],
  from: readonly Float64Array[],
  to: readonly Float64Array[],
): number =>
  Math.max(
    ...trials.map(({ noise }, b) =>
      at(from, b).reduce(
        (most, value, i) => Math.max(most, Math.abs(at(at(to, b), i) - value) / at(noise, i)),
        0,
      ),
    ),
  );

/** Slopes with respect to the sources and the extension's unknowns, row-major. */
function extended(
  trial: LocalTrial,
  b: number,
  sources: readonly Source[],
  unknowns: readonly ExtraUnknown[],
): Float64Array {
  if (unknowns.length === 0) return trial.bySource;
  const p = sources.length;
  const P = p + unknowns.length;
  const out = new Float64Array(trial.readings.length * P);
  for (const i of trial.readings.keys()) {
    out.set(rowOf(trial.bySource, i, p), i * P);
    for (const [k, unknown] of unknowns.entries())
      out[i * P + p + k] = unknown.sd * slopeBy(unknown, trial, { b, i, sources });
  }
  return out;
}

/** Slope of reading i of a trial with respect to an extension's unknown, per mm or rad. */
function slopeBy(
  unknown: ExtraUnknown,
  trial: LocalTrial,
  { b, i, sources }: { readonly b: number; readonly i: number; readonly sources: readonly Source[] },
): number {
  switch (unknown.kind) {
    case "bias":
      return at(trial.readings, i).instrument === unknown.instrument ? 1 : 0;
    case "thickness":
      return rowTimes(trial.byLatent, i, trial.latents, at(unknown.weights, b));
    case "drift": {
      const slope = (c: number): number =>
        at(trial.bySource, i * sources.length + c) / at(sources, c).priorSd;
      return at(unknown.shares, b) * unknown.sources.reduce((sum, c) => sum + slope(c), 0);
    }
    default:
      return unknown satisfies never;
  }
}

/** The readings of each trial after the exchanges of an extension; `null` if there are none. */
function swappedReadings({ swaps }: Extension, trials: readonly LocalTrial[]): (readonly Reading[])[] | null {
  if (swaps.length === 0) return null;
  const byPlace = new Map(
    trials.flatMap(({ block, readings }) => block.places.map((place, i) => [place, at(readings, i)])),
  );
  const other = new Map(
    swaps.flatMap(
      ([i, j]) =>
        [
          [i, j],
          [j, i],
        ] as [number, number][],
    ),
  );
  return trials.map(({ block, readings }) =>
    readings.map((reading, i) => {
      const from = byPlace.get(other.get(at(block.places, i)) ?? -1);
      return from ? { ...reading, value: from.value, low: from.low, high: from.high } : reading;
    }),
  );
}
