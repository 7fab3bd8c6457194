/**
 * Cholesky factor L of a symmetric positive definite matrix, row-major, written over its lower triangle.
 *
 * @returns false, leaving the matrix partly factored, when a pivot is at most `relative` times its diagonal entry.
 */
export function choleskyInPlace(a: Float64Array, n: number, relative = SMALLEST_PIVOT): boolean {
  return factorUpTo(a, n, relative) === n;
}

const SMALLEST_PIVOT = 1e-14;

/** Factors column by column; returns the index of the first column that fails, or n. */
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
 * A direction v of non-positive curvature of a symmetric matrix A: vᵀ·A·v is the pivot at which the Cholesky factorization of A fails.
 * Overwrites the matrix. `null` when it is positive definite.
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

/**
 * Inverse of a symmetric positive definite n × n matrix, row-major, by its Cholesky factor.
 *
 * @throws RangeError when the matrix is not positive definite
 */
export function symmetricInverse(matrix: Float64Array, n: number): Float64Array {
  const factor = matrix.slice();
  if (!choleskyInPlace(factor, n, 0)) throw new RangeError("The matrix is not positive definite.");
  const out = new Float64Array(n * n);
  const column = new Float64Array(n);
  for (let j = 0; j < n; j++) {
    column.fill(0);
    column[j] = 1;
    choleskySolveInPlace(factor, n, column);
    for (let i = 0; i <= j; i++) out[i * n + j] = out[j * n + i] = column[i]!;
  }
  return out;
}

/** Eigenvalues in rising order, each with an eigenvector of length 1; its sign is arbitrary. */
export interface Eigensystem {
  readonly values: readonly number[];
  readonly vectors: readonly Float64Array[];
}

const MOST_SWEEPS = 60;

/**
 * Eigensystem of a symmetric n × n matrix, row-major, by cyclic Jacobi rotations
 * (G. H. Golub and C. F. Van Loan, Matrix Computations, 4th ed. 2013, §8.5). Values are accurate to rounding of the largest one.
 *
 * @throws RangeError when an entry is not a finite number
 */
export function symmetricEigen(matrix: Float64Array, n: number): Eigensystem {
  if (!matrix.every(Number.isFinite)) throw new RangeError("The matrix holds an entry that is not a number.");
  const a = matrix.slice();
  const v = new Float64Array(n * n);
  for (let i = 0; i < n; i++) v[i * n + i] = 1;
  let rotated = true;
  for (let sweep = 0; rotated && sweep < MOST_SWEEPS; sweep++) {
    rotated = false;
    for (let p = 0; p < n; p++) for (let q = p + 1; q < n; q++) if (rotateOut(a, v, n, p, q)) rotated = true;
  }
  const places = Array.from({ length: n }, (_, k) => k).sort((j, k) => a[j * n + j]! - a[k * n + k]!);
  return {
    values: places.map((k) => a[k * n + k]!),
    vectors: places.map((k) => Float64Array.from({ length: n }, (_, i) => v[i * n + k]!)),
  };
}

/** Zeros entry (p, q) by a rotation of both axes, applied to the vectors too; false when the entry is already negligible beside its diagonal entries. */
function rotateOut(a: Float64Array, v: Float64Array, n: number, p: number, q: number): boolean {
  const entry = a[p * n + q]!;
  const [app, aqq] = [a[p * n + p]!, a[q * n + q]!];
  if (Math.abs(entry) <= (Number.EPSILON / 8) * Math.sqrt(Math.abs(app * aqq)) || entry === 0) {
    a[p * n + q] = a[q * n + p] = 0;
    return false;
  }
  const half = (aqq - app) / (2 * entry);
  const tangent = (half < 0 ? -1 : 1) / (Math.abs(half) + Math.hypot(1, half));
  const cosine = 1 / Math.hypot(1, tangent);
  const sine = tangent * cosine;
  const rotate = (m: Float64Array, i: number, j: number): void => {
    const [x, y] = [m[i]!, m[j]!];
    m[i] = cosine * x - sine * y;
    m[j] = sine * x + cosine * y;
  };
  for (let k = 0; k < n; k++) {
    rotate(v, k * n + p, k * n + q);
    if (k === p || k === q) continue;
    rotate(a, k * n + p, k * n + q);
    a[p * n + k] = a[k * n + p]!;
    a[q * n + k] = a[k * n + q]!;
  }
  a[p * n + p] = app - tangent * entry;
  a[q * n + q] = aqq + tangent * entry;
  a[p * n + q] = a[q * n + p] = 0;
  return true;
}

/** A pivoted QR factorization of a rows × columns matrix: `r` is upper triangular (row-major, columns × columns), column k of `r` belongs to column `order[k]` of the matrix. */
export interface Triangle {
  readonly r: Float64Array;
  readonly order: Int32Array;
  /** Qᵀ·b, its first `columns` entries. */
  readonly qtb: Float64Array;
  readonly columns: number;
}

/**
 * Householder QR with column pivoting of a row-major matrix together with one right-hand side.
 * Missing rows count as zeros, so that a matrix may have fewer rows than columns. The inputs are not changed.
 */
export function householderQr(
  matrix: Float64Array,
  rows: number,
  columns: number,
  b: Float64Array,
): Triangle {
  const tall = Math.max(rows, columns);
  const a = new Float64Array(tall * columns);
  a.set(matrix.subarray(0, rows * columns));
  const rhs = new Float64Array(tall);
  rhs.set(b.subarray(0, rows));
  const order = Int32Array.from({ length: columns }, (_, k) => k);
  for (let k = 0; k < columns; k++) {
    bringLongestColumn(a, tall, columns, k, order);
    reflect(a, tall, columns, k, rhs);
  }
  return { r: a.slice(0, columns * columns), order, qtb: rhs.slice(0, columns), columns };
}

function bringLongestColumn(
  a: Float64Array,
  rows: number,
  columns: number,
  k: number,
  order: Int32Array,
): void {
  let longest = k;
  let best = -1;
  for (let j = k; j < columns; j++) {
    let sum = 0;
    for (let i = k; i < rows; i++) sum += a[i * columns + j]! ** 2;
    if (sum > best) [longest, best] = [j, sum];
  }
  if (longest === k) return;
  for (let i = 0; i < rows; i++) {
    const kept = a[i * columns + k]!;
    a[i * columns + k] = a[i * columns + longest]!;
    a[i * columns + longest] = kept;
  }
  [order[k], order[longest]] = [order[longest]!, order[k]!];
}

/** Zeros column k below its diagonal by one reflection, applied to the later columns and to `rhs`. */
function reflect(a: Float64Array, rows: number, columns: number, k: number, rhs: Float64Array): void {
  let norm = 0;
  for (let i = k; i < rows; i++) norm = Math.hypot(norm, a[i * columns + k]!);
  if (norm === 0) return;
  const head = a[k * columns + k]!;
  const alpha = head > 0 ? -norm : norm;
  const v = new Float64Array(rows - k);
  v[0] = head - alpha;
  for (let i = k + 1; i < rows; i++) v[i - k] = a[i * columns + k]!;
  const scale = -1 / (alpha * v[0]);
  for (let j = k; j <= columns; j++) {
    const at = (i: number): number => (j === columns ? rhs[i]! : a[i * columns + j]!);
    let sum = 0;
    for (let i = k; i < rows; i++) sum += v[i - k]! * at(i);
    sum *= scale;
    for (let i = k; i < rows; i++) {
      const value = at(i) - sum * v[i - k]!;
      if (j === columns) rhs[i] = value;
      else a[i * columns + j] = value;
    }
  }
  for (let i = k + 1; i < rows; i++) a[i * columns + k] = 0;
}

/** Pivots below this share of the largest count as zero: the data do not determine that combination of unknowns. */
const RANK_TOLERANCE = 1e-14;

/** Solves R·P·x = y for x; components that the matrix does not determine come out zero. */
export function solveTriangle({ r, order, columns }: Triangle, y: Float64Array): Float64Array {
  const rank = rankOf(r, columns);
  const z = new Float64Array(columns);
  for (let i = rank - 1; i >= 0; i--) {
    let sum = y[i]!;
    for (let j = i + 1; j < rank; j++) sum -= r[i * columns + j]! * z[j]!;
    z[i] = sum / r[i * columns + i]!;
  }
  const x = new Float64Array(columns);
  for (let k = 0; k < columns; k++) x[order[k]!] = z[k]!;
  return x;
}

export function rankOf(r: Float64Array, columns: number): number {
  const least = RANK_TOLERANCE * Math.abs(r[0] ?? 0);
  let rank = 0;
  while (rank < columns && Math.abs(r[rank * columns + rank]!) > least) rank++;
  return rank;
}

/** (AᵀA)⁻¹, row-major, from the factorization of A; `null` when A does not determine every unknown. */
export function inverseOfGram(triangle: Triangle): Float64Array | null {
  const { columns, r } = triangle;
  if (rankOf(r, columns) < columns) return null;
  const inverse = invertUpper(r, columns);
  const { order } = triangle;
  const out = new Float64Array(columns * columns);
  for (let i = 0; i < columns; i++) {
    for (let j = 0; j < columns; j++) {
      let sum = 0;
      for (let k = Math.max(i, j); k < columns; k++)
        sum += inverse[i * columns + k]! * inverse[j * columns + k]!;
      out[order[i]! * columns + order[j]!] = sum;
    }
  }
  return out;
}

function invertUpper(r: Float64Array, n: number): Float64Array {
  const out = new Float64Array(n * n);
  for (let j = 0; j < n; j++) {
    out[j * n + j] = 1 / r[j * n + j]!;
    for (let i = j - 1; i >= 0; i--) {
      let sum = 0;
      for (let k = i + 1; k <= j; k++) sum += r[i * n + k]! * out[k * n + j]!;
      out[i * n + j] = -sum / r[i * n + i]!;
    }
  }
  return out;
}

/** √Σv² without overflow or underflow. */
export function lengthOf(values: ArrayLike<number>): number {
  let largest = 0;
  for (let i = 0; i < values.length; i++) largest = Math.max(largest, Math.abs(values[i]!));
  if (largest === 0 || !Number.isFinite(largest)) return largest;
  let sum = 0;
  for (let i = 0; i < values.length; i++) sum += (values[i]! / largest) ** 2;
  return largest * Math.sqrt(sum);
}

/** Length of every column of a row-major matrix of `n` columns. */
export function columnLengths(matrix: Float64Array, n: number): Float64Array {
  const column = new Float64Array(matrix.length / n);
  return Float64Array.from({ length: n }, (_, j) => {
    for (let i = 0; i < column.length; i++) column[i] = matrix[i * n + j]!;
    return lengthOf(column);
  });
}

/** Divides column j of the matrix by `by[j]`. */
export function dividedColumns(matrix: Float64Array, by: Float64Array): Float64Array {
  return matrix.map((value, i) => value / by[i % by.length]!);
}

/** A pivot below this counts as zero: the row is a combination of earlier ones (r = ±1). */
const ZERO = 1e-12;

/**
 * Lower triangular F with F·Fᵀ = `matrix` (row-major, n × n, unit diagonal), also when it is singular because
 * quantities are perfectly correlated; `null` when it has a negative eigenvalue.
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
