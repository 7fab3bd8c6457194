import { at } from "../../core/numeric/dense.js";
import type { ErrorKind } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import type { SeatingKernel } from "../../physics/kernel/seating-kernel.js";
import { type ReadingLikelihood, readingLikelihood } from "../likelihood/reading-likelihood.js";
import { NO_BIAS, type ReadingBlock } from "../likelihood/trial-blocks.js";
import { type LinearForm, linearForms, partErrorForms } from "./linear-forms.js";
import type { TargetDensity } from "./posterior-mode.js";
import { latentsAt, type TrialDistribution } from "./trial-distribution.js";

/** The between-cut standard deviations that are unknowns of the fit, in the order of a row of scatters: rad, mm, mm. */
export const SCATTERS = [
  "angle",
  "length",
  "thickness",
] as const satisfies readonly (keyof Job["betweenCutSd"])[];

/** Which of {@link SCATTERS} a cut-to-cut error has, −1 for a wall of the grid, whose scatter is taken as the job states it. */
export const SCATTER_OF: Readonly<Record<ErrorKind, number>> = {
  angle: 0,
  axial: 1,
  thickness: 2,
  lean: -1,
  turn: -1,
  offset: -1,
};

/** A latent is centred if, according to the reference Gaussian, its readings remove more than this share of its variance. */
const CENTRED_SHARE = 0.5;

/**
 * Evaluates the readings of one trial for many proposals at once.
 *
 * A proposal is a row of numbers: the sources in their prior standard deviations, then the cut-to-cut errors of all trials in the job's standard deviations. Inside, a
 * cut-to-cut error is either centred (the number is the error itself, so that the width of its prior changes with the scatter) or not (the number is in units of the scatter, so
 * that its effect changes with the scatter). Which of the two mixes better depends on how well the readings determine the error (O. Papaspiliopoulos, G. O. Roberts and M. Sköld, A general framework for
 * the parametrization of hierarchical models, Statist. Sci. 22, 2007).
 */
export class BlockDensity {
  /** Index of the block's first cut-to-cut error among those of all blocks, and number of its cut-to-cut errors. */
  readonly first: number;
  readonly count: number;
  /** Reference distribution of the cut-to-cut errors given the sources. */
  readonly reference: TrialDistribution;
  readonly centred: Uint8Array;
  /** Index into {@link SCATTERS} for each cut-to-cut error, or −1. */
  readonly scatter: Int8Array;
  /** Upper bound of the log likelihood of the gaps. */
  readonly gapBound: number;
  /** One part for the gaps of each specimen; evaluated after everything else. */
  readonly gapParts: readonly GapPart[];
  readonly #linear: readonly LinearReading[];
  readonly #mean: Float64Array;
  /** Dependence of the mean of the cut-to-cut errors on the sources: error, source and slope of each non-zero term. */
  readonly #followers: {
    readonly error: Int32Array;
    readonly source: Int32Array;
    readonly slope: Float64Array;
  };
  /**
   * What the prior of the cut-to-cut errors needs: indices of the errors that are drawn in units of their scatter, indices of the centred ones, whose prior depends on the scatter instead, and how
   * many of the centred ones have each scatter.
   */
  readonly #scaled: Int32Array;
  readonly #centredAt: Int32Array;
  readonly #centredCount: Int32Array;
  readonly #p: number;

  constructor(target: TargetDensity, block: ReadingBlock, reference: TrialDistribution, first: number) {
    const { job, sources } = target;
    const p = sources.length;
    this.#p = p;
    this.first = first;
    this.count = block.latents;
    this.reference = reference;
    this.scatter = Int8Array.from(block.kinds, (kind) => SCATTER_OF[kind]);
    this.centred = Uint8Array.from({ length: block.latents }, (_, k) =>
      determinedShare(reference, k) > CENTRED_SHARE ? 1 : 0,
    );
    this.#mean = latentsAt(reference, new Float64Array(p));
    this.#followers = followersOf(reference, p);
    const places = Array.from({ length: block.latents }, (_, k) => k).filter((k) => at(this.scatter, k) >= 0);
    this.#scaled = Int32Array.from(places.filter((k) => this.centred[k] === 0));
    this.#centredAt = Int32Array.from(places.filter((k) => this.centred[k] === 1));
    this.#centredCount = Int32Array.from(SCATTERS, (_, of) =>
      this.#centredAt.reduce((n, k) => n + (this.scatter[k] === of ? 1 : 0), 0),
    );
    const linear: LinearReading[] = [];
    const gapParts: GapPart[] = [];
    let row = 0;
    const placed = (form: LinearForm): LinearMapRow => ({
      constant: form.constant,
      terms: [...form.sources, ...form.latents.map(([k, factor]) => [p + first + k, factor] as const)],
    });
    for (const part of block.parts) {
      const forms = linearForms(job, part, block, sources);
      const gaps: GapReading[] = [];
      for (const [i, reading] of part.readings.entries()) {
        const density = readingLikelihood(reading, at(block.noise, row++), job.mistakes);
        const form = forms[i];
        if (form) {
          linear.push({ map: new LinearMap([placed(form)]), density });
          continue;
        }
        const { shift, column } = block.biases.get(reading.instrument) ?? NO_BIAS;
        const unit = column < 0 ? 0 : at(sources, column).priorSd;
        const probes = part.specimen.reader.probesMeant(reading);
        gaps.push({ density, probes, shift, bias: Math.max(column, 0), biasUnit: unit });
      }
      if (gaps.length === 0) continue;
      gapParts.push({
        gaps,
        kernel: part.specimen.reader.kernel(job.order, job.pressRatio),
        errors: new LinearMap(partErrorForms(part, sources).map(placed)),
        largest: gaps.reduce((sum, { density }) => sum + density.largest, 0),
      });
    }
    this.#linear = linear;
    this.gapParts = gapParts;
    this.gapBound = gapParts.reduce((sum, { largest }) => sum + largest, 0);
  }

  /**
   * Writes the cut-to-cut errors of a proposal into its row, from deviations z from their mean given the row's sources, and returns the log of their prior density (up to a
   * constant) plus the log likelihood of the readings that are linear in the errors.
   *
   * @param ratios of the scatters to the job's.
   */
  writeErrors(rows: Float64Array, row: number, z: Float64Array, from: number, ratios: Float64Array): number {
    const own = row + this.#p + this.first;
    const [count, mean, scatter] = [this.count, this.#mean, this.scatter];
    for (let k = 0; k < count; k++) rows[own + k] = mean[k]! + z[from + k]!;
    const { error, source, slope } = this.#followers;
    const terms = slope.length;
    for (let i = 0; i < terms; i++) rows[own + error[i]!]! += slope[i]! * rows[row + source[i]!]!;
    let squares = 0;
    for (let k = own; k < own + count; k++) squares += rows[k]! * rows[k]!;
    const scaled = this.#scaled;
    const scaledCount = scaled.length;
    for (let i = 0; i < scaledCount; i++) {
      const k = scaled[i]!;
      rows[own + k]! *= ratios[scatter[k]!]!;
    }
    const centred = this.#centredAt;
    const centredCount = centred.length;
    for (let i = 0; i < centredCount; i++) {
      const k = centred[i]!;
      const u = rows[own + k]!;
      const ratio = ratios[scatter[k]!]!;
      squares += u * u * (1 / (ratio * ratio) - 1);
    }
    let log = -squares / 2;
    const counts = this.#centredCount;
    for (let of = 0; of < counts.length; of++)
      if (counts[of]! > 0) log -= counts[of]! * Math.log(ratios[of]!);
    const linear = this.#linear;
    for (let i = 0; i < linear.length; i++) log += linear[i]!.density.at(linear[i]!.map.value(0, rows, row));
    return log;
  }

  /** Computes the deviations z of a row's cut-to-cut errors; the inverse of {@link writeErrors}. */
  readDeviations(rows: Float64Array, row: number, ratios: Float64Array, z: Float64Array, to: number): void {
    const own = row + this.#p + this.first;
    for (let k = 0; k < this.count; k++) {
      const of = this.scatter[k]!;
      const unit = of < 0 || this.centred[k] === 1 ? 1 : ratios[of]!;
      z[to + k] = rows[own + k]! / unit - this.#mean[k]!;
    }
    const { error, source, slope } = this.#followers;
    for (let i = 0; i < slope.length; i++) z[to + error[i]!]! -= slope[i]! * rows[row + source[i]!]!;
  }

  /** −log of the reference density of deviations z, up to a constant: ½|z|² + ½|A·z|². */
  referenceLoss(z: Float64Array, from: number): number {
    const { a, readings, observed, observedA } = this.reference;
    let sum = 0;
    for (let k = 0; k < this.count; k++) sum += z[from + k]! ** 2;
    if (a.length > 0) {
      const m = observed.length;
      for (let i = 0; i < readings; i++) {
        let seen = 0;
        for (let j = 0; j < m; j++) seen += observedA[i * m + j]! * z[from + observed[j]!]!;
        sum += seen * seen;
      }
    }
    return sum / 2;
  }
}

/** The gaps read on one specimen, and the map from a proposal to its elementary errors. */
export interface GapPart {
  readonly gaps: readonly GapReading[];
  readonly kernel: SeatingKernel;
  readonly errors: LinearMap;
  readonly largest: number;
}

interface GapReading {
  readonly density: ReadingLikelihood;
  /** The reading refers to the probe with the widest gap among these. */
  readonly probes: readonly number[];
  /** Instrument bias: the known part, and the index and prior standard deviation of the unknown part (0 where there is none). */
  readonly shift: number;
  readonly bias: number;
  readonly biasUnit: number;
}

interface LinearReading {
  readonly map: LinearMap;
  readonly density: ReadingLikelihood;
}

/** Adds the log likelihood of a specimen's gaps for the proposals in the rows that begin at `starts[0 … count − 1]`; `count` is at most the batch size of the kernel. */
export function addGaps(
  { gaps, kernel, errors }: GapPart,
  rows: Float64Array,
  { starts, count }: { readonly starts: Int32Array; readonly count: number },
  out: Float64Array,
): void {
  for (let t = 0; t < count; t++) errors.write(rows, starts[t]!, kernel.drawsOf(t));
  kernel.seat(count);
  for (let t = 0; t < count; t++) {
    const seated = kernel.gapsOf(t);
    let log = 0;
    for (let g = 0; g < gaps.length; g++) {
      const { density, probes, shift, bias, biasUnit } = gaps[g]!;
      let widest = Number.NEGATIVE_INFINITY;
      for (let i = 0; i < probes.length; i++) widest = Math.max(widest, seated[probes[i]!]!);
      log += density.at(shift + biasUnit * rows[starts[t]! + bias]! + widest);
    }
    out[t] = log;
  }
}

/** Share of the variance of a cut-to-cut error that the rows of its reference remove. */
function determinedShare({ a, gain, readings: r, latents: n }: TrialDistribution, k: number): number {
  let share = 0;
  for (let i = 0; i < r; i++) share += at(gain, k * r + i) * at(a, i * n + k);
  return share;
}

/** Slopes smaller than this are left out: the mean of a cut-to-cut error has to follow the sources only approximately. */
const LEAST_FOLLOWING = 0.08;

/** −G·B of a reference: slopes of the mean of each cut-to-cut error with respect to each source. */
function followersOf({ gain, b, readings: r, latents }: TrialDistribution, p: number) {
  const terms: { k: number; c: number; slope: number }[] = [];
  for (let k = 0; k < latents; k++) {
    for (let c = 0; c < p; c++) {
      let slope = 0;
      for (let i = 0; i < r; i++) slope -= gain[k * r + i]! * b[i * p + c]!;
      if (Math.abs(slope) > LEAST_FOLLOWING) terms.push({ k, c, slope });
    }
  }
  return {
    error: Int32Array.from(terms, ({ k }) => k),
    source: Int32Array.from(terms, ({ c }) => c),
    slope: Float64Array.from(terms, ({ slope }) => slope),
  };
}

interface LinearMapRow {
  readonly constant: number;
  readonly terms: readonly (readonly [number, number])[];
}

/** Linear functions of the numbers in a row: constant + Σ factor·number. Entries are read without bounds checks, because they are evaluated for every proposal of the sampler. */
class LinearMap {
  readonly #constants: Float64Array;
  readonly #ends: Int32Array;
  readonly #places: Int32Array;
  readonly #factors: Float64Array;

  constructor(rows: readonly LinearMapRow[]) {
    this.#constants = Float64Array.from(rows, ({ constant }) => constant);
    const terms = rows.map((row) => row.terms.filter(([, factor]) => factor !== 0));
    let end = 0;
    this.#ends = Int32Array.from(terms, ({ length }) => (end += length));
    this.#places = Int32Array.from(terms.flatMap((row) => row.map(([place]) => place)));
    this.#factors = Float64Array.from(terms.flatMap((row) => row.map(([, factor]) => factor)));
  }

  value(i: number, rows: Float64Array, row: number): number {
    const [ends, places, factors] = [this.#ends, this.#places, this.#factors];
    let sum = this.#constants[i]!;
    const end = ends[i]!;
    for (let k = i === 0 ? 0 : ends[i - 1]!; k < end; k++) sum += factors[k]! * rows[row + places[k]!]!;
    return sum;
  }

  write(rows: Float64Array, row: number, out: Float64Array): void {
    const [constants, ends, places, factors] = [this.#constants, this.#ends, this.#places, this.#factors];
    const count = constants.length;
    let k = 0;
    for (let i = 0; i < count; i++) {
      let sum = constants[i]!;
      const end = ends[i]!;
      for (; k < end; k++) sum += factors[k]! * rows[row + places[k]!]!;
      out[i] = sum;
    }
  }
}
