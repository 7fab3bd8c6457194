import { choleskySolveInPlace, symmetricInverse } from "../../core/numeric/linear-algebra.js";
import type { Likelihood } from "../likelihood/maximise-likelihood.js";
import type { ReadingBlock } from "../likelihood/trial-blocks.js";
import { type LinearForm, linearForms } from "./linear-forms.js";
import {
  type NormalRows,
  readingSpace,
  type SourceDistribution,
  trialDistribution,
} from "./trial-distribution.js";
import type { ReferenceGaussian } from "./weighted-posterior.js";

/**
 * The law of sources (in their prior standard deviations) and cut-to-cut errors under the priors and the values read in the hand, which are linear and normal.
 * Where readings may be gross mistakes it is a guess: those that lie far off are left out, and the others are not quite believed.
 */
export function initialGaussian(likelihood: Likelihood): ReferenceGaussian {
  const { sources, blocks, job } = likelihood;
  const priorMean = Float64Array.from(sources, ({ priorMean: at = 0, priorSd }) => at / priorSd);
  const rows = blocks.map((block) => rowsOf(likelihood, block));
  const distributionOf = (some: readonly NormalRows[]): SourceDistribution =>
    sourceDistribution(some, blocks, priorMean);
  const used = job.mistakes === 0 ? rows : withoutOutliers(rows, blocks, distributionOf);
  const trials = blocks.map(({ latents }, b) => trialDistribution(used[b]!, latents));
  return { distribution: distributionOf(used), trials, exact: job.mistakes === 0 };
}

/** The sources' law under their priors and rows of readings. */
function sourceDistribution(
  rows: readonly NormalRows[],
  blocks: readonly ReadingBlock[],
  priorMean: Float64Array,
): SourceDistribution {
  const p = priorMean.length;
  const information = new Float64Array(p * p);
  for (let i = 0; i < p; i++) information[i * p + i] = 1;
  const pull = new Float64Array(p);
  for (const [b, { latents }] of blocks.entries()) {
    const { a, b: by, y } = rows[b]!;
    const factor = readingSpace(a, y.length, latents);
    const left = y.map((value, i) => priorMean.reduce((sum, x, c) => sum - by[i * p + c]! * x, value));
    for (let c = 0; c < p; c++) {
      const column = y.map((_, i) => by[i * p + c]!);
      choleskySolveInPlace(factor, y.length, column);
      for (const [i, w] of column.entries()) {
        pull[c]! += w * left[i]!;
        for (let d = 0; d < p; d++) information[c * p + d]! += w * by[i * p + d]!;
      }
    }
  }
  const covariance = symmetricInverse(information, p);
  const mean = priorMean.map((value, i) =>
    pull.reduce((sum, force, j) => sum + covariance[i * p + j]! * force, value),
  );
  return { mean, covariance };
}

/** The values read in the hand during a trial. */
function rowsOf({ job, sources }: Likelihood, block: ReadingBlock): NormalRows {
  const [a, b, y]: [number[], number[], number[]] = [[], [], []];
  let row = 0;
  for (const part of block.parts) {
    const forms = linearForms(job, part, block, sources);
    for (const [i, { value }] of part.readings.entries()) {
      const tau = block.noise[row++]!;
      const form = forms[i];
      if (!form || value === null) continue;
      y.push((value - form.constant) / tau);
      a.push(...dense(form.latents, block.latents, tau));
      b.push(...dense(form.sources, sources.length, tau));
    }
  }
  return { a: Float64Array.from(a), b: Float64Array.from(b), y: Float64Array.from(y) };
}

function dense(terms: LinearForm["sources"], length: number, tau: number): Float64Array {
  const out = new Float64Array(length);
  for (const [place, factor] of terms) out[place] = factor / tau;
  return out;
}

/** A reading lies far off when it is this many standard deviations from what the others and the priors expect. */
const OUTLYING = 4;
/** Readings that are kept say less than they claim, as a ratio of variances: some may be mistakes that do not show. */
const KEPT_VARIANCE_RATIO = 4;
/** Those that stand against about as many left out say next to nothing: either side may be the mistaken one. */
const CONTESTED_VARIANCE_RATIO = 100;
/** So many must stand together against each one left out. */
const AGREEING_PER_REJECTED = 3;

/**
 * Readings of which some may be gross mistakes, as far as they can be trusted: those that lie far off are left out, one at a time, the worst first (a mistake makes others look bad too).
 */
function withoutOutliers(
  all: readonly NormalRows[],
  blocks: readonly ReadingBlock[],
  distributionOf: (rows: readonly NormalRows[]) => SourceDistribution,
): readonly NormalRows[] {
  let rows = all;
  const out: Float64Array[] = [];
  for (;;) {
    const distribution = distributionOf(rows);
    let worst = { block: -1, row: -1, off: OUTLYING };
    for (const [block, one] of rows.entries()) {
      for (const [row, off] of deviationsOf(one, blocks[block]!.latents, distribution).entries())
        if (off > worst.off) worst = { block, row, off };
    }
    if (worst.block < 0) return downWeighted(rows, out);
    const { block, row } = worst;
    out.push(rowOf(rows[block]!, row));
    rows = rows.with(block, without(rows[block]!, row, blocks[block]!.latents));
  }
}

/** How a reading answers to the sources. */
function rowOf({ b, y }: NormalRows, row: number): Float64Array {
  const p = b.length / y.length;
  return b.slice(row * p, (row + 1) * p);
}

function downWeighted(rows: readonly NormalRows[], out: readonly Float64Array[]): NormalRows[] {
  const kept = rows.flatMap((one) => Array.from(one.y, (_, row) => rowOf(one, row)));
  return rows.map((one) => {
    const factor = Float64Array.from(one.y, (_, row) => {
      const own = rowOf(one, row);
      const against = out.filter((other) => areAlike(own, other)).length;
      const beside = kept.filter((other) => areAlike(own, other)).length;
      return (
        1 /
        Math.sqrt(beside < AGREEING_PER_REJECTED * against ? CONTESTED_VARIANCE_RATIO : KEPT_VARIANCE_RATIO)
      );
    });
    const scaled = (values: Float64Array): Float64Array => {
      const width = values.length / one.y.length;
      return values.map((value, k) => value * factor[Math.floor(k / width)]!);
    };
    return { a: scaled(one.a), b: scaled(one.b), y: scaled(one.y) };
  });
}

/** Readings are alike when they answer to the sources in the same proportions, or nearly. */
const LEAST_COSINE = 0.7;

function areAlike(a: Float64Array, b: Float64Array): boolean {
  const dot = (u: Float64Array, v: Float64Array): number =>
    u.reduce((sum, value, i) => sum + value * v[i]!, 0);
  return Math.abs(dot(a, b)) > LEAST_COSINE * Math.sqrt(dot(a, a) * dot(b, b));
}

/**
 * How far each reading of a trial lies from what all the others and the priors expect, in standard deviations of that difference:
 * |S⁻¹y| / √(S⁻¹) with S = D + B·Bᵀ the covariance of all readings and D = I + A·Aᵀ that of the trial's at known sources.
 */
function deviationsOf(
  { a, b, y }: NormalRows,
  n: number,
  { mean, covariance }: SourceDistribution,
): Float64Array {
  const [r, p] = [y.length, mean.length];
  const factor = readingSpace(a, r, n);
  const left = y.map((value, i) => mean.reduce((sum, x, c) => sum - b[i * p + c]! * x, value));
  choleskySolveInPlace(factor, r, left);
  return left.map((value, i) => {
    const own = new Float64Array(r);
    own[i] = 1;
    choleskySolveInPlace(factor, r, own);
    const seen = Float64Array.from({ length: p }, (_, c) =>
      own.reduce((sum, weight, k) => sum + weight * b[k * p + c]!, 0),
    );
    let precision = own[i]!;
    for (let c = 0; c < p; c++)
      for (let d = 0; d < p; d++) precision -= seen[c]! * covariance[c * p + d]! * seen[d]!;
    return Math.abs(value) / Math.sqrt(precision);
  });
}

function without({ a, b, y }: NormalRows, row: number, n: number): NormalRows {
  const p = b.length / y.length;
  const but = (values: Float64Array, width: number): Float64Array =>
    values.filter((_, k) => Math.floor(k / width) !== row);
  return { a: n === 0 ? a : but(a, n), b: but(b, p), y: but(y, 1) };
}
