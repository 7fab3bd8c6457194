import { eigs, inv } from "mathjs";
import type { Terms } from "../numeric/minimise-terms.js";

/** Σ ρ″·∂m∂mᵀ: the information of terms at first order, always at least positive semi-definite. */
export function expectedInformation({ curvature, jacobian }: Terms, p: number): Float64Array {
  const out = new Float64Array(p * p);
  for (let row = 0; row < curvature.length; row++) {
    for (let i = 0; i < p; i++) {
      for (let j = 0; j < p; j++)
        out[i * p + j]! += curvature[row]! * jacobian[row * p + i]! * jacobian[row * p + j]!;
    }
  }
  return out;
}

const rowsOf = (matrix: Float64Array, p: number): number[][] =>
  Array.from({ length: p }, (_, i) => [...matrix.subarray(i * p, (i + 1) * p)]);

/** Inverse of a p × p matrix, row-major. */
export const invert = (matrix: Float64Array, p: number): Float64Array =>
  Float64Array.from(inv(rowsOf(matrix, p)).flat());

/** Eigenvalues (rising) and eigenvectors of a symmetric matrix. */
export function symmetricEigen(matrix: Float64Array, p: number): { values: number[]; vectors: number[][] } {
  const found = eigs(rowsOf(matrix, p)).eigenvectors.map(({ value, vector }) => ({
    value: Number(value),
    vector: (vector as number[]).map(Number),
  }));
  found.sort((a, b) => a.value - b.value);
  return { values: found.map(({ value }) => value), vectors: found.map(({ vector }) => unit(vector)) };
}

function unit(vector: readonly number[]): number[] {
  const length = Math.hypot(...vector);
  return vector.map((x) => x / length);
}
