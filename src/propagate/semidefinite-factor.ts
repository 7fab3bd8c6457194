/** A pivot this small counts as zero: the row follows from those before it (r = ±1). */
const ZERO = 1e-12;

/**
 * Lower triangular F with F·Fᵀ = `matrix` (row-major, n × n, unit diagonal), also where it is singular because
 * quantities move together exactly; `null` when it has a negative direction.
 */
export function semidefiniteFactor(matrix: Float64Array, n: number): Float64Array | null {
  const f = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    for (let i = j; i < n; i++) {
      let rest = matrix[i * n + j]!;
      for (let k = 0; k < j; k++) rest -= f[i * n + k]! * f[j * n + k]!;
      if (i === j) {
        if (rest < -ZERO) return null;
        f[j * n + j] = rest > ZERO ? Math.sqrt(rest) : 0;
      } else if (f[j * n + j] === 0) {
        if (Math.abs(rest) > Math.sqrt(ZERO)) return null;
      } else {
        f[i * n + j] = rest / f[j * n + j]!;
      }
    }
  }
  return f;
}
