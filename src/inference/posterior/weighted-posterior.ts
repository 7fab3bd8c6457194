import {
  at,
  columnOf,
  entryOf,
  lowerRowTimes,
  minus,
  plus,
  residual,
  rowTimes,
} from "../../core/numeric/dense.js";
import type { Squares, WeightedNormal, WeightFactor } from "../../core/numeric/elliptical-slice.js";
import { choleskyInPlace } from "../../core/numeric/linear-algebra.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";
import type { Likelihood } from "../likelihood/maximise-likelihood.js";
import { readingLikelihood } from "../likelihood/reading-likelihood.js";
import type { ReadingBlock } from "../likelihood/trial-blocks.js";
import { isNormal, type LinearForm, linearForms, partErrorForms, valueAt } from "./linear-forms.js";
import {
  completeTrial,
  drawTrial,
  latentsAt,
  type SourceDistribution,
  type TrialDistribution,
} from "./trial-distribution.js";
import { type GapReading, gapFactor, type LinearReadingAt, linearFactor } from "./weight-factors.js";

/** The sources (in their prior standard deviations) and every trial's cut-to-cut errors. */
export interface State {
  readonly sources: Float64Array;
  readonly latents: readonly Float64Array[];
}

/** A normal distribution near the posterior: of the sources (in their prior standard deviations), and of each trial's cut-to-cut errors given the sources. */
export interface ReferenceGaussian {
  readonly distribution: SourceDistribution;
  readonly trials: readonly TrialDistribution[];
  /** Whether it is the posterior given the priors and all linear normal readings, so that only the other readings enter the weight. */
  readonly exact: boolean;
}

/** The posterior as a weighted normal distribution, and the conversion between its points and states. */
export interface WeightedPosterior extends WeightedNormal {
  /** Number of sources: the first numbers of a point. */
  readonly sources: number;
  stateOf(point: Float64Array): State;
  /** Writes the sources of a point to `out`, from index `at` on. */
  readSources(point: Float64Array, out: Float64Array, at: number): void;
  /** Writes the point that stands for a state. */
  writePoint(state: State, point: Float64Array): void;
}

/**
 * The posterior of the sources and cut-to-cut errors, written as reference Gaussian × weight with weight = prior × likelihood / reference Gaussian: the form that
 * elliptical slice sampling needs. A point holds every number that is linear in what is drawn, down to the elementary errors, so that a proposal
 * (cos θ·point + sin θ·other) needs no matrix product.
 */
export function weightedPosterior(likelihood: Likelihood, reference: ReferenceGaussian): WeightedPosterior {
  const { mean, covariance } = reference.distribution;
  const p = mean.length;
  const root = covariance.slice();
  if (!choleskyInPlace(root, p))
    throw new RangeError("The reference Gaussian's covariance is not positive definite.");
  const { length, trials, complete, squares, parts: factors } = pointLayout(likelihood, reference);
  return {
    ...{ length, squares, factors, sources: p },
    draw(point: Float64Array, stream: RandomStream): void {
      for (let i = 0; i < p; i++) {
        point[p + i] = stream.normal();
        let sum = 0;
        for (let k = 0; k <= i; k++) sum += root[i * p + k]! * point[p + k]!;
        point[i] = sum;
      }
      for (const places of trials) drawTrial(places.distribution, stream, point, places);
      complete(point);
    },
    readSources(point, out, from): void {
      out.set(plus(mean, point), from);
    },
    stateOf: (point) => ({
      sources: plus(mean, point),
      latents: trials.map(({ centre, latents }) => plus(centre, point.subarray(latents))),
    }),
    writePoint(state, point): void {
      const shift = minus(state.sources, mean);
      point.set(shift);
      const whitened = point.subarray(p, 2 * p);
      for (const [i, value] of shift.entries()) {
        const row = root.subarray(i * p, i * p + i);
        whitened[i] = residual(value, row, whitened) / entryOf(root, i, i, p);
      }
      for (const [b, { distribution, centre, latents, seen }] of trials.entries()) {
        point.set(minus(at(state.latents, b), centre), latents);
        completeTrial(distribution, point, { latents, seen });
      }
      complete(point);
    },
  };
}

/** Where the numbers of one trial lie in a point; all are differences from the centre of the reference Gaussian. */
interface TrialPlaces {
  readonly distribution: TrialDistribution;
  /** Index of the cut-to-cut errors u, and their values at the centre. */
  readonly latents: number;
  readonly centre: Float64Array;
  /** Index of A·u + B·x. */
  readonly seen: number;
}

/** How a point is laid out: the p sources, their whitened numbers z, the trials, and what follows from these. */
interface PointLayout {
  readonly length: number;
  readonly trials: readonly TrialPlaces[];
  /** Computes the numbers that follow from the sources and the trials. */
  readonly complete: (point: Float64Array) => void;
  readonly squares: Squares;
  readonly parts: readonly WeightFactor[];
}

function pointLayout(likelihood: Likelihood, reference: ReferenceGaussian): PointLayout {
  const draft = new Draft(!reference.exact);
  const { sources, blocks } = likelihood;
  const { mean } = reference.distribution;
  for (const [i, { priorMean = 0, priorSd }] of sources.entries())
    draft.square(draft.allocate(1), 1, at(mean, i) - priorMean / priorSd);
  // The reference density, exp −½|z|², is divided out.
  for (let i = 0; i < sources.length; i++) draft.square(draft.allocate(1), -1, 0);
  const trials = reference.trials.map((distribution) => placeTrial(distribution, mean, draft));
  for (const [b, block] of blocks.entries()) placeReadings(likelihood, block, mean, at(trials, b), draft);
  return draft.finished(trials);
}

/** A layout being built. */
class Draft {
  readonly rows = new SparseRows();
  readonly parts: WeightFactor[] = [];
  readonly #squares: { place: number; gain: number; centre: number }[] = [];
  #length = 0;

  /** @param squares whether squares are wanted: where the reference Gaussian is exact they cancel. */
  constructor(readonly squares: boolean) {}

  allocate(count: number): number {
    this.#length += count;
    return this.#length - count;
  }

  square(place: number, gain: number, centre: number): void {
    if (this.squares) this.#squares.push({ place, gain, centre });
  }

  finished(trials: readonly TrialPlaces[]): PointLayout {
    const squares = this.#squares;
    return {
      ...{ trials, length: this.#length, parts: this.parts, complete: this.rows.compiled() },
      squares: {
        place: Int32Array.from(squares, ({ place }) => place),
        gain: Float64Array.from(squares, ({ gain }) => gain),
        centre: Float64Array.from(squares, ({ centre }) => centre),
      },
    };
  }
}

/**
 * Places a trial. The ratio of prior to reference density of its cut-to-cut errors is exp ½|y − A·u − B·x|² · exp −½|L⁻¹(y − B·x)|², the second factor being the
 * marginal likelihood of y given the sources.
 */
function placeTrial(distribution: TrialDistribution, mean: Float64Array, draft: Draft): TrialPlaces {
  const { latents: n, readings: r, a, b, y, whitening } = distribution;
  const p = mean.length;
  const latents = draft.allocate(n);
  const seen = draft.allocate(r);
  const centre = latentsAt(distribution, mean);
  if (!draft.squares) return { distribution, latents, centre, seen };
  const left = y.map((value, i) => rowTimes(b, i, p, mean, -value));
  const columns = Array.from(mean, (_, c) => columnOf(b, c, p));
  for (const [i, shift] of left.entries()) {
    draft.square(seen + i, -1, rowTimes(a, i, n, centre, shift));
    const whitened = draft.allocate(1);
    draft.square(whitened, 1, rowTimes(whitening, i, r, left));
    draft.rows.add(
      whitened,
      columns.map((column, c) => [c, lowerRowTimes(whitening, i, column)] as const),
    );
  }
  return { distribution, latents, centre, seen };
}

/** Linear normal readings enter as squares, known analytically; for the others the likelihood is evaluated at each proposal. */
function placeReadings(
  likelihood: Likelihood,
  block: ReadingBlock,
  mean: Float64Array,
  trial: TrialPlaces,
  draft: Draft,
): void {
  const { job, sources } = likelihood;
  const about = { mean, latents: trial.centre };
  const place = (target: number, { sources: c, latents: k }: LinearForm): number => {
    const latents = k.map(([latent, factor]) => [trial.latents + latent, factor] as const);
    draft.rows.add(target, [...c, ...latents]);
    return target;
  };
  const linear: LinearReadingAt[] = [];
  let row = 0;
  for (const part of block.parts) {
    const forms = linearForms(job, part, block, sources);
    const gaps: GapReading[] = [];
    for (const [i, reading] of part.readings.entries()) {
      const tau = at(block.noise, row++);
      const form = forms[i];
      const likelihood = readingLikelihood(reading, tau, job.mistakes);
      if (!form) gaps.push({ likelihood, row: i });
      else if (reading.value === null || !isNormal(reading, job))
        linear.push({ place: place(draft.allocate(1), form), centre: valueAt(form, about), likelihood });
      else if (draft.squares)
        draft.square(place(draft.allocate(1), form), 1 / tau ** 2, valueAt(form, about) - reading.value);
    }
    if (gaps.length === 0) continue;
    const errors = partErrorForms(part, sources);
    const first = draft.allocate(errors.length);
    for (const [e, form] of errors.entries()) place(first + e, form);
    const centre = Float64Array.from(errors, (form) => valueAt(form, about));
    draft.parts.push(gapFactor({ job, part, block, sources, mean, first, centre, gaps }));
  }
  if (linear.length > 0) draft.parts.unshift(linearFactor(linear));
}

/** Numbers of a point that are linear in earlier ones; computed in the order they were added. Every draw is completed by them, so their loops read entries unchecked. */
class SparseRows {
  readonly #targets: number[] = [];
  readonly #ends: number[] = [];
  readonly #places: number[] = [];
  readonly #factors: number[] = [];

  /** Number `target` becomes Σ factor·(number at place) over [place, factor]. */
  add(target: number, terms: Iterable<readonly [number, number]>): void {
    for (const [place, factor] of terms) {
      if (factor === 0) continue;
      this.#places.push(place);
      this.#factors.push(factor);
    }
    this.#targets.push(target);
    this.#ends.push(this.#places.length);
  }

  /** A function that computes them in a point. */
  compiled(): (point: Float64Array) => void {
    const targets = Int32Array.from(this.#targets);
    const ends = Int32Array.from(this.#ends);
    const places = Int32Array.from(this.#places);
    const factors = Float64Array.from(this.#factors);
    return (point) => {
      let k = 0;
      for (let r = 0; r < targets.length; r++) {
        let sum = 0;
        for (; k < ends[r]!; k++) sum += factors[k]! * point[places[k]!]!;
        point[targets[r]!] = sum;
      }
    };
  }
}
