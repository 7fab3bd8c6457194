import { choleskyInPlace } from "../../numeric/cholesky.js";

/**
 * Cholesky factor of I + A·Aᵀ, row-major (reading, reading), for A of r readings by n cut-to-cut errors: there are far more of these than readings, so what they ask for is solved in the
 * space of the readings, (I + AᵀA)⁻¹ = I − Aᵀ(I + AAᵀ)⁻¹A.
 */
export function readingSpace(a: Float64Array, r: number, n: number): Float64Array {
  const factor = new Float64Array(r * r);
  for (let i = 0; i < r; i++) {
    for (let j = 0; j <= i; j++) {
      let sum = i === j ? 1 : 0;
      for (let k = 0; k < n; k++) sum += a[i * n + k]! * a[j * n + k]!;
      factor[i * r + j] = sum;
      factor[j * r + i] = sum;
    }
  }
  choleskyInPlace(factor, r, 0);
  return factor;
}
