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
 * Lower is better; `Infinity` where the information does not determine every unknown. Mean over scenarios, each an information matrix of p × p, row-major.
 *
 * @param added information added to each scenario's before evaluation
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
    if (more) for (let k = 0; k < factor.length; k++) factor[k]! += more[k]!;
    if (!choleskyInPlace(factor, p)) return Number.POSITIVE_INFINITY;
    sum +=
      criterion.kind === "all"
        ? -logDeterminant(factor, p)
        : weightedVariance(factor, p, criterion.weight, column);
  }
  return sum / information.length;
}

/**
 * Negative derivatives G of the criterion by the information: a candidate with information I lowers it at the rate tr(G·I). `null` where the
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
  for (const [s, slope] of slopes.entries()) {
    const own = information[s]!;
    for (let k = 0; k < slope.length; k++) sum += slope[k]! * own[k]!;
  }
  return sum / slopes.length;
}

/** Inverse of a symmetric positive definite matrix; `null` when it is not. */
export function inverseOf(matrix: Float64Array, p: number): Float64Array | null {
  const factor = matrix.slice();
  if (!choleskyInPlace(factor, p)) return null;
  const out = new Float64Array(p * p);
  for (let j = 0; j < p; j++) {
    const column = new Float64Array(p);
    column[j] = 1;
    choleskySolveInPlace(factor, p, column);
    for (let i = 0; i < p; i++) out[i * p + j] = column[i]!;
  }
  return out;
}

function logDeterminant(factor: Float64Array, p: number): number {
  let sum = 0;
  for (let i = 0; i < p; i++) sum += 2 * Math.log(factor[i * p + i]!);
  return sum;
}

/** tr(W·M⁻¹) with M = L·Lᵀ: the columns of M⁻¹ one by one. */
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
  for (let i = 0; i < p; i++) {
    for (let k = 0; k < p; k++) {
      const factor = a[i * p + k]!;
      if (factor !== 0) for (let j = 0; j < p; j++) out[i * p + j]! += factor * b[k * p + j]!;
    }
  }
  return out;
}

/** Mean over scenarios of the covariance that goes with their information (in units of the prior standard deviations); rad and mm, row-major. */
export function expectedCovariance(sources: readonly Source[], sums: readonly Float64Array[]): Float64Array {
  const p = sources.length;
  const out = new Float64Array(p * p);
  for (const sum of sums) {
    const inverse = inverseOf(sum, p)!;
    for (let k = 0; k < p * p; k++)
      out[k]! += (inverse[k]! * sources[Math.floor(k / p)]!.priorSd * sources[k % p]!.priorSd) / sums.length;
  }
  return out;
}
