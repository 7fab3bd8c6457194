import { columnLengths, lengthOf } from "./columns.js";

/** A sum of terms ρ_i(m_i(x)) at one x: its value, and for each term the slope and curvature of ρ_i by m_i with the row ∂m_i/∂x. */
export interface Terms {
  /** Σ ρ_i. */
  readonly value: number;
  /** ρ_i′. */
  readonly slope: Float64Array;
  /** ρ_i″ ≥ 0, or a convex stand-in for it. */
  readonly curvature: Float64Array;
  /** ∂m_i/∂x, row-major (term, unknown). */
  readonly jacobian: Float64Array;
}

/** The terms as rows √ρ″·∂m and residuals ρ′/√ρ″, whose least squares step is the Gauss–Newton step. */
export interface WeightedTerms {
  readonly matrix: Float64Array;
  readonly residual: Float64Array;
  /** Length of each column, and of the residuals. */
  readonly lengths: Float64Array;
  readonly size: number;
  /** Largest cosine between the residuals and a column: 0 at a stationary point. */
  readonly cosine: number;
}

/** Weighs terms of `n` unknowns; those without curvature say nothing. */
export function weighTerms({ slope, curvature, jacobian }: Terms, n: number): WeightedTerms {
  const matrix = new Float64Array(jacobian.length);
  const residual = new Float64Array(slope.length);
  for (let i = 0; i < slope.length; i++) {
    const root = Math.sqrt(curvature[i]!);
    if (!(root > 0)) continue;
    residual[i] = slope[i]! / root;
    for (let j = 0; j < n; j++) matrix[i * n + j] = root * jacobian[i * n + j]!;
  }
  const lengths = columnLengths(matrix, n);
  const size = lengthOf(residual);
  return { matrix, residual, lengths, size, cosine: largestCosine(matrix, residual, lengths, size) };
}

function largestCosine(
  matrix: Float64Array,
  residual: Float64Array,
  lengths: Float64Array,
  size: number,
): number {
  const n = lengths.length;
  return lengths.reduce((largest, length, j) => {
    if (!(length > 0 && size > 0)) return largest;
    const sum = residual.reduce((s, r, i) => s + (r / size) * (matrix[i * n + j]! / length), 0);
    return Math.max(largest, Math.abs(sum));
  }, 0);
}

/** Whether every figure of the terms is a finite number. */
export function areFinite({ value, slope, curvature, jacobian }: Terms): boolean {
  return Number.isFinite(value) && [slope, curvature, jacobian].every((list) => list.every(Number.isFinite));
}

/** How far ½‖residual + matrix·step‖² falls along a step. */
export function promisedFall(matrix: Float64Array, residual: Float64Array, step: Float64Array): number {
  const n = step.length;
  let fall = 0;
  for (let i = 0; i < residual.length; i++) {
    let move = 0;
    for (let j = 0; j < n; j++) move += matrix[i * n + j]! * step[j]!;
    fall -= move * (residual[i]! + move / 2);
  }
  return fall;
}
