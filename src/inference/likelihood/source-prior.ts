import { at, entryOf, identity, lowerRowTimes, minus, rowOf } from "../../core/numeric/dense.js";
import { choleskyInPlace, symmetricInverse } from "../../core/numeric/linear-algebra.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";
import type { Job } from "../../model/job/job.js";
import { momentsOfCases } from "../../model/recorded-prior.js";
import { indexOfSource, type Source } from "../../model/sources.js";

/** One component of a mixture prior: normal, in prior standard deviations of the sources. */
interface NormalCase {
  /** Log of its weight less half the log determinant of its covariance. */
  readonly log: number;
  readonly share: number;
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
  /** Lower Cholesky factor of the covariance, and the inverse of that factor: W·(x − mean) is standard normal. Row-major. */
  readonly root: Float64Array;
  readonly whitening: Float64Array;
}

/** Log of the prior density of the sources (in their prior standard deviations), up to a constant: a mixture of normal distributions. */
export interface SourcePrior {
  readonly cases: readonly NormalCase[];
  /** Mean and precision (row-major) of the normal distribution with the mixture's moments. */
  readonly mean: Float64Array;
  readonly covariance: Float64Array;
  readonly precision: Float64Array;
}

/** The prior of a job's sources if records give a joint distribution of several or two sides of one; `null` if all are independent and normal. */
export function jointPrior(
  { recorded }: Pick<Job, "recorded">,
  sources: readonly Source[],
): SourcePrior | null {
  if (!recorded) return null;
  const p = sources.length;
  const places = recorded.sources.map((id) => indexOfSource(sources, id));
  const unit = (i: number): number => at(sources, i).priorSd;
  const cases = recorded.cases.map(({ share, mean: own, covariance: tied }): NormalCase => {
    const mean = Float64Array.from(sources, ({ priorMean = 0, priorSd }) => priorMean / priorSd);
    const covariance = identity(p);
    for (const [a, i] of places.entries()) {
      if (i < 0) continue;
      mean[i] = at(own, a) / unit(i);
      for (const [b, j] of places.entries())
        if (j >= 0) covariance[i * p + j] = at(tied, a * places.length + b) / (unit(i) * unit(j));
    }
    const root = covariance.slice();
    if (!choleskyInPlace(root, p))
      throw new RangeError("The covariance of a record is not positive definite.");
    let log = Math.log(share);
    for (let i = 0; i < p; i++) log -= Math.log(entryOf(root, i, i, p));
    return { log, share, mean, covariance, root, whitening: lowerInverse(root, p) };
  });
  const { mean, covariance } = momentsOfCases(
    cases.map((one) => ({ share: one.share, mean: [...one.mean], covariance: [...one.covariance] })),
  );
  return {
    cases,
    mean: Float64Array.from(mean),
    covariance: Float64Array.from(covariance),
    precision: symmetricInverse(Float64Array.from(covariance), p),
  };
}

/** Whitened deviations of x from the mean of a component, W·(x − mean). */
export function whitenedIn({ mean, whitening }: NormalCase, x: Float64Array): Float64Array {
  const off = minus(x, mean);
  return off.map((_, i) => lowerRowTimes(whitening, i, off));
}

const halfSquare = (values: Float64Array): number => values.reduce((sum, v) => sum + (v * v) / 2, 0);

/** Log density, up to a constant. */
export function logPrior({ cases }: SourcePrior, x: Float64Array): number {
  const logs = cases.map((one) => one.log - halfSquare(whitenedIn(one, x)));
  const most = Math.max(...logs);
  return most + Math.log(logs.reduce((sum, log) => sum + Math.exp(log - most), 0));
}

/** The component that is most probable at x. */
export const caseAt = ({ cases }: SourcePrior, x: Float64Array): NormalCase =>
  cases.reduce((a, b) =>
    b.log - halfSquare(whitenedIn(b, x)) > a.log - halfSquare(whitenedIn(a, x)) ? b : a,
  );

/** Draws the sources, in their prior standard deviations. */
export function drawPrior({ cases }: SourcePrior, stream: RandomStream): Float64Array {
  const drawn = stream.uniform();
  let below = 0;
  let chosen = at(cases, cases.length - 1);
  for (const one of cases) {
    below += one.share;
    if (drawn < below) {
      chosen = one;
      break;
    }
  }
  const normals = stream.fill(new Float64Array(chosen.mean.length));
  return chosen.mean.map((mean, i) => lowerRowTimes(chosen.root, i, normals, mean));
}

/** Inverse of a lower triangular matrix, row-major. */
function lowerInverse(lower: Float64Array, n: number): Float64Array {
  const inverse = new Float64Array(n * n);
  for (let i = 0; i < n; i++) {
    const row = rowOf(inverse, i, n);
    for (let j = 0; j <= i; j++) {
      let sum = i === j ? 1 : 0;
      for (let k = j; k < i; k++) sum -= entryOf(lower, i, k, n) * entryOf(inverse, k, j, n);
      row[j] = sum / entryOf(lower, i, i, n);
    }
  }
  return inverse;
}
