import { addScaled, at, entryOf, rowsOf, rowTimes, scaledBothSides } from "../../core/numeric/dense.js";
import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import type { Source } from "../../model/sources.js";

/**
 * The optimality criterion of a design with information matrix M. `all`: −log det M, the volume of the joint uncertainty (D-optimal).
 * `weighted`: tr(W·M⁻¹), a weighted variance (c-optimal for W = c·cᵀ, A-optimal for the unit matrix, I-optimal for the mean of c·cᵀ over what is predicted).
 */
export type Criterion =
  | { readonly kind: "all" }
  | { readonly kind: "weighted"; readonly weight: Float64Array };

/**
 * Value of the criterion, averaged over scenarios, each with an information matrix of p × p, row-major. Lower is better; `Infinity` if the information does not determine every unknown.
 *
 * @param added information that is added to that of each scenario before evaluation
 */
export function criterionValue(
  information: readonly Float64Array[],
  p: number,
  criterion: Criterion,
  added?: readonly Float64Array[],
): number {
  let sum = 0;
  const factor = new Float64Array(p * p);
  const column = new Float64Array(p);
  for (const [s, matrix] of information.entries()) {
    factor.set(matrix);
    const more = added?.[s];
    if (more) addScaled(factor, more, 1);
    if (!choleskyInPlace(factor, p)) return Number.POSITIVE_INFINITY;
    sum +=
      criterion.kind === "all"
        ? -logDeterminant(factor, p)
        : weightedVariance(factor, p, criterion.weight, column);
  }
  return sum / information.length;
}

/**
 * Negative derivatives G of the criterion with respect to the information: a candidate with information I lowers it at the rate tr(G·I). `null` if the
 * information does not determine every unknown.
 */
export function criterionSlopes(
  information: readonly Float64Array[],
  p: number,
  criterion: Criterion,
): Float64Array[] | null {
  const out: Float64Array[] = [];
  for (const matrix of information) {
    const inverse = inverseOf(matrix, p);
    if (inverse === null) return null;
    out.push(criterion.kind === "all" ? inverse : sandwich(inverse, criterion.weight, p));
  }
  return out;
}

/** Mean over scenarios of tr(G·I). */
export function rateOf(slopes: readonly Float64Array[], information: readonly Float64Array[]): number {
  let sum = 0;
  for (const [s, slope] of slopes.entries()) sum = rowTimes(slope, 0, slope.length, at(information, s), sum);
  return sum / slopes.length;
}

/** Inverse of a symmetric positive definite matrix; `null` if the matrix is not positive definite. */
export function inverseOf(matrix: Float64Array, p: number): Float64Array | null {
  const factor = matrix.slice();
  if (!choleskyInPlace(factor, p)) return null;
  const out = new Float64Array(p * p);
  for (let j = 0; j < p; j++) {
    const column = new Float64Array(p);
    column[j] = 1;
    choleskySolveInPlace(factor, p, column);
    for (const [i, value] of column.entries()) out[i * p + j] = value;
  }
  return out;
}

function logDeterminant(factor: Float64Array, p: number): number {
  let sum = 0;
  for (let i = 0; i < p; i++) sum += 2 * Math.log(entryOf(factor, i, i, p));
  return sum;
}

/** tr(W·M⁻¹) with M = L·Lᵀ: the columns of M⁻¹·W are solved one by one. This is the inner loop of planning: entries are read without bounds checks, since row views cost a fifth of its time. */
function weightedVariance(
  factor: Float64Array,
  p: number,
  weight: Float64Array,
  column: Float64Array,
): number {
  let sum = 0;
  for (let j = 0; j < p; j++) {
    for (let i = 0; i < p; i++) column[i] = weight[i * p + j]!;
    choleskySolveInPlace(factor, p, column);
    sum += column[j]!;
  }
  return sum;
}

/** M⁻¹·W·M⁻¹. */
function sandwich(inverse: Float64Array, weight: Float64Array, p: number): Float64Array {
  return product(product(inverse, weight, p), inverse, p);
}

function product(a: Float64Array, b: Float64Array, p: number): Float64Array {
  const out = new Float64Array(p * p);
  const rows = rowsOf(b, p);
  for (const [i, sum] of rowsOf(out, p).entries()) {
    for (const [k, row] of rows.entries()) addScaled(sum, row, entryOf(a, i, k, p));
  }
  return out;
}

/** A covariance (rad and mm, row-major) in units of the prior standard deviations. */
export const inPriorUnits = (covariance: Float64Array, sources: readonly Source[]): Float64Array =>
  covariance.map((value, k) => {
    const [i, j] = [Math.floor(k / sources.length), k % sources.length];
    return value / (at(sources, i).priorSd * at(sources, j).priorSd);
  });

/**
 * Mean over scenarios of the covariance, rad and mm, row-major, computed from their information (in units of the prior standard deviations).
 *
 * @throws RangeError when a scenario's information does not determine every source
 */
export function expectedCovariance(sources: readonly Source[], sums: readonly Float64Array[]): Float64Array {
  const p = sources.length;
  const unit = sources.map(({ priorSd }) => priorSd);
  let mean = new Float64Array(p * p);
  for (const sum of sums) {
    const inverse = inverseOf(sum, p);
    if (inverse === null) throw new RangeError("The information does not determine every source.");
    const covariance = scaledBothSides(inverse, unit);
    mean = mean.map((value, k) => value + at(covariance, k) / sums.length);
  }
  return mean;
}
