/**
 * Cholesky factor L of a symmetric positive definite matrix, row-major, written over its lower triangle.
 *
 * @returns false, leaving the matrix half done, when a pivot falls to `relative` of its own diagonal or below.
 */
export function choleskyInPlace(a: Float64Array, n: number, relative = SMALLEST_PIVOT): boolean {
  return factorUpTo(a, n, relative) === n;
}

const SMALLEST_PIVOT = 1e-14;

/** Factors column by column; returns the first that fails, or n. */
function factorUpTo(a: Float64Array, n: number, relative: number): number {
  for (let j = 0; j < n; j++) {
    const diagonal = a[j * n + j]!;
    let pivot = diagonal;
    for (let k = 0; k < j; k++) pivot -= a[j * n + k]! ** 2;
    if (!(pivot > relative * Math.abs(diagonal))) return j;
    const root = Math.sqrt(pivot);
    a[j * n + j] = root;
    for (let i = j + 1; i < n; i++) {
      let sum = a[i * n + j]!;
      for (let k = 0; k < j; k++) sum -= a[i * n + k]! * a[j * n + k]!;
      a[i * n + j] = sum / root;
    }
  }
  return n;
}

/**
 * A direction v along which a symmetric matrix A does not curve upwards: vᵀ·A·v is the pivot that fails, of Cholesky's factors of A.
 * The matrix is written over. `null` when it is positive definite.
 */
export function downwardCurvature(
  a: Float64Array,
  n: number,
  relative = SMALLEST_PIVOT,
): Float64Array | null {
  const failed = factorUpTo(a, n, relative);
  if (failed === n) return null;
  const v = new Float64Array(n);
  v[failed] = 1;
  // The block above the pivot is L·Lᵀ and the column above it L·l, with lᵀ in the pivot's row: v = (−L⁻ᵀ·l, 1, 0 …).
  for (let i = failed - 1; i >= 0; i--) {
    let sum = -a[failed * n + i]!;
    for (let k = i + 1; k < failed; k++) sum -= a[k * n + i]! * v[k]!;
    v[i] = sum / a[i * n + i]!;
  }
  return v;
}

/** Solves L·Lᵀ·x = b in place of `b`, with L from {@link choleskyInPlace}. */
export function choleskySolveInPlace(l: Float64Array, n: number, b: Float64Array): void {
  for (let i = 0; i < n; i++) {
    let sum = b[i]!;
    for (let k = 0; k < i; k++) sum -= l[i * n + k]! * b[k]!;
    b[i] = sum / l[i * n + i]!;
  }
  for (let i = n - 1; i >= 0; i--) {
    let sum = b[i]!;
    for (let k = i + 1; k < n; k++) sum -= l[k * n + i]! * b[k]!;
    b[i] = sum / l[i * n + i]!;
  }
}
