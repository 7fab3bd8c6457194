import {
  addScaled,
  at,
  columnOf,
  identity,
  innerProduct,
  quadraticForm,
  residual,
  rowOf,
} from "../../core/numeric/dense.js";
import { choleskySolveInPlace, symmetricInverse } from "../../core/numeric/linear-algebra.js";
import type { ReadingBlock } from "../likelihood/trial-blocks.js";
import { type LinearForm, linearForms } from "./linear-forms.js";
import type { TargetDensity } from "./posterior-mode.js";
import type { ReferenceGaussian } from "./posterior-walk.js";
import {
  type NormalRows,
  readingSpace,
  type SourceDistribution,
  trialDistribution,
} from "./trial-distribution.js";

/**
 * The distribution of sources (in their prior standard deviations) and cut-to-cut errors given the angles, lengths and thicknesses that were measured: with normal
 * priors and linear readings y = A·u + B·x + noise it is the normal distribution of a linear regression, known in closed form. No gap enters.
 *
 * It is the full posterior if no gap was read and no reading can be a gross mistake. If readings can be mistakes, it is only a starting point: outlying ones are left out
 * and the others get less weight.
 */
export function initialGaussian(target: TargetDensity): ReferenceGaussian {
  const { sources, blocks, job, prior } = target;
  const priorMean =
    prior?.mean ?? Float64Array.from(sources, ({ priorMean: mean = 0, priorSd }) => mean / priorSd);
  const rows = blocks.map((block) => measuredRows(target, block));
  const distributionOf = (some: readonly NormalRows[]): SourceDistribution =>
    sourceDistribution(some, blocks, priorMean, prior?.precision ?? identity(priorMean.length));
  const used = job.mistakes === 0 ? rows : withoutOutliers(rows, blocks, distributionOf);
  const trials = blocks.map(({ latents }, b) => trialDistribution(at(used, b), latents));
  return { distribution: distributionOf(used), trials };
}

/** Distribution of the sources given their priors and rows of readings: precision P + Σ Bᵀ(I + A·Aᵀ)⁻¹B over the trials. */
function sourceDistribution(
  rows: readonly NormalRows[],
  blocks: readonly ReadingBlock[],
  priorMean: Float64Array,
  precision: Float64Array,
): SourceDistribution {
  const p = priorMean.length;
  const information = precision.slice();
  const gradient = new Float64Array(p);
  for (const [t, { latents }] of blocks.entries()) {
    const { a, b, y } = at(rows, t);
    const factor = readingSpace(a, y.length, latents);
    const left = y.map((value, i) => residual(value, rowOf(b, i, p), priorMean));
    for (let c = 0; c < p; c++) {
      const column = columnOf(b, c, p);
      choleskySolveInPlace(factor, y.length, column);
      for (const [i, w] of column.entries()) {
        gradient[c] = at(gradient, c) + w * at(left, i);
        addScaled(rowOf(information, c, p), rowOf(b, i, p), w);
      }
    }
  }
  const covariance = symmetricInverse(information, p);
  const mean = priorMean.map((value, i) => {
    let sum = value;
    for (const [j, slope] of gradient.entries()) sum += at(covariance, i * p + j) * slope;
    return sum;
  });
  return { mean, covariance };
}

/** The measured values of a trial (all but gaps), as rows of a linear regression, each divided by its standard deviation. */
export function measuredRows({ job, sources }: TargetDensity, block: ReadingBlock): NormalRows {
  const [a, b, y]: [number[], number[], number[]] = [[], [], []];
  let row = 0;
  for (const part of block.parts) {
    const forms = linearForms(job, part, block, sources);
    for (const [i, { value }] of part.readings.entries()) {
      const tau = at(block.noise, row++);
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

/** A reading is outlying when it is more than this many standard deviations from what the priors and the other readings predict. */
const OUTLYING = 4;
/** Factor on the variance of readings that are kept: some may be undetected mistakes. */
const KEPT_VARIANCE_RATIO = 4;
/** The same for readings that are contradicted by about as many rejected ones: either group may be the mistaken one. */
const CONTESTED_VARIANCE_RATIO = 100;
/** Number of agreeing readings needed for each one rejected. */
const AGREEING_PER_REJECTED = 3;

/** The rows without outliers: the most outlying row is removed first and the rest are evaluated again, because one mistake makes other rows look outlying too. */
function withoutOutliers(
  all: readonly NormalRows[],
  blocks: readonly ReadingBlock[],
  distributionOf: (rows: readonly NormalRows[]) => SourceDistribution,
): readonly NormalRows[] {
  let rows = all;
  const rejected: Float64Array[] = [];
  for (;;) {
    const distribution = distributionOf(rows);
    let worst = { block: -1, row: -1, deviation: OUTLYING };
    for (const [block, one] of rows.entries()) {
      for (const [row, deviation] of deviationsOf(one, at(blocks, block).latents, distribution).entries())
        if (deviation > worst.deviation) worst = { block, row, deviation };
    }
    if (worst.block < 0) return downWeighted(rows, rejected);
    const { block, row } = worst;
    const from = at(rows, block);
    rejected.push(slopesOf(from, row));
    rows = rows.with(block, withoutRow(from, row, at(blocks, block).latents));
  }
}

/** Derivatives of a reading with respect to the sources. */
const slopesOf = ({ b, y }: NormalRows, row: number): Float64Array =>
  rowOf(b, row, b.length / y.length).slice();

function downWeighted(rows: readonly NormalRows[], rejected: readonly Float64Array[]): NormalRows[] {
  const kept = rows.flatMap((one) => Array.from(one.y, (_, row) => slopesOf(one, row)));
  return rows.map((one) => {
    const factor = Float64Array.from(one.y, (_, row) => {
      const own = slopesOf(one, row);
      const against = rejected.filter((other) => areAlike(own, other)).length;
      const agreeing = kept.filter((other) => areAlike(own, other)).length;
      const contested = agreeing < AGREEING_PER_REJECTED * against;
      return 1 / Math.sqrt(contested ? CONTESTED_VARIANCE_RATIO : KEPT_VARIANCE_RATIO);
    });
    const scaled = (values: Float64Array): Float64Array => {
      const width = values.length / one.y.length;
      return values.map((value, k) => value * at(factor, Math.floor(k / width)));
    };
    return { a: scaled(one.a), b: scaled(one.b), y: scaled(one.y) };
  });
}

/** Least cosine between the slopes of two readings that inform the same combination of sources. */
const LEAST_COSINE = 0.7;

const areAlike = (a: Float64Array, b: Float64Array): boolean =>
  Math.abs(innerProduct(a, b)) > LEAST_COSINE * Math.sqrt(innerProduct(a, a) * innerProduct(b, b));

/**
 * How far each reading of a trial lies from what the priors and all other readings predict, in standard deviations of that difference:
 * |S⁻¹y| / √(S⁻¹), where S = D + B·Bᵀ is the covariance of all readings and D = I + A·Aᵀ that of the trial's readings at known sources.
 */
function deviationsOf(
  { a, b, y }: NormalRows,
  latents: number,
  { mean, covariance }: SourceDistribution,
): Float64Array {
  const [r, p] = [y.length, mean.length];
  const factor = readingSpace(a, r, latents);
  const left = y.map((value, i) => residual(value, rowOf(b, i, p), mean));
  choleskySolveInPlace(factor, r, left);
  return left.map((value, i) => {
    const own = new Float64Array(r);
    own[i] = 1;
    choleskySolveInPlace(factor, r, own);
    const bySource = Float64Array.from({ length: p }, (_, c) => innerProduct(own, columnOf(b, c, p)));
    return Math.abs(value) / Math.sqrt(at(own, i) - quadraticForm(covariance, bySource));
  });
}

function withoutRow({ a, b, y }: NormalRows, row: number, latents: number): NormalRows {
  const others = (values: Float64Array, width: number): Float64Array =>
    values.filter((_, k) => Math.floor(k / width) !== row);
  return { a: latents === 0 ? a : others(a, latents), b: others(b, b.length / y.length), y: others(y, 1) };
}
