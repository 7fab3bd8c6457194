/**
 * Small dense linear algebra on row-major matrices in one typed array. Sums run from the first term to the last, so that the result does not depend on which of these
 * functions is used.
 */

/** Row i of a matrix, as a view. */
export const rowOf = (matrix: Float64Array, i: number, columns: number): Float64Array =>
  matrix.subarray(i * columns, (i + 1) * columns);

/** All rows of a matrix, as views. */
export const rowsOf = (matrix: Float64Array, columns: number): Float64Array[] =>
  Array.from({ length: matrix.length / columns }, (_, i) => rowOf(matrix, i, columns));

/** Element i of a list whose length the caller guarantees. @throws RangeError when there is none. */
export function at<T>(values: ArrayLike<T>, i: number): T {
  const value = values[i];
  if (value === undefined) throw new RangeError(`There is no element ${i} among ${values.length}.`);
  return value;
}

/** A value that the caller guarantees to be there: found in a list, or under a key. @throws RangeError when it is not. */
export function present<T>(value: T | null | undefined): T {
  if (value === null || value === undefined) throw new RangeError("A value that must be there is missing.");
  return value;
}

/** Entry (i, j) of a matrix. @throws RangeError when there is none. */
export const entryOf = (matrix: Float64Array, i: number, j: number, columns: number): number =>
  at(matrix, i * columns + j);

/** a·b; both of one length. */
export function innerProduct(a: Float64Array, b: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < a.length; i++) sum += a[i]! * b[i]!;
  return sum;
}

/** value − a·b, with the products subtracted one after the other. */
export function residual(value: number, a: Float64Array, b: Float64Array): number {
  let left = value;
  for (let i = 0; i < a.length; i++) left -= a[i]! * b[i]!;
  return left;
}

/** start + row i of M·v, for M of the given number of columns and v the numbers of `vector` from index `from` on. */
export function rowTimes(
  matrix: Float64Array,
  i: number,
  columns: number,
  vector: Float64Array,
  start = 0,
  from = 0,
): number {
  let sum = start;
  for (let k = 0; k < columns; k++) sum += matrix[i * columns + k]! * vector[from + k]!;
  return sum;
}

/** start + row i of L·z, for L lower triangular of the size of z. */
export function lowerRowTimes(lower: Float64Array, i: number, z: Float64Array, start = 0): number {
  let sum = start;
  for (let k = 0; k <= i; k++) sum += lower[i * z.length + k]! * z[k]!;
  return sum;
}

/** vᵀ·M·v. */
export function quadraticForm(matrix: Float64Array, v: Float64Array): number {
  const n = v.length;
  let sum = 0;
  for (let i = 0; i < n; i++) for (let j = 0; j < n; j++) sum += v[i]! * matrix[i * n + j]! * v[j]!;
  return sum;
}

/** a + b; both of one length. */
export function plus(a: Float64Array, b: Float64Array): Float64Array {
  const out = new Float64Array(a.length);
  for (let k = 0; k < out.length; k++) out[k] = a[k]! + b[k]!;
  return out;
}

/** a − b; both of one length. */
export function minus(a: Float64Array, b: Float64Array): Float64Array {
  const out = new Float64Array(a.length);
  for (let k = 0; k < out.length; k++) out[k] = a[k]! - b[k]!;
  return out;
}

/** Adds w·v to a row, in place. */
export function addScaled(row: Float64Array, v: Float64Array, w: number): void {
  for (let i = 0; i < row.length; i++) row[i]! += w * v[i]!;
}

/** Column j of a matrix, as a copy. */
export function columnOf(matrix: Float64Array, j: number, columns: number): Float64Array {
  const out = new Float64Array(matrix.length / columns);
  for (let i = 0; i < out.length; i++) out[i] = matrix[i * columns + j]!;
  return out;
}

/** The diagonal of a square matrix, as a copy. */
export function diagonalOf(matrix: Float64Array): Float64Array {
  const n = Math.sqrt(matrix.length);
  const out = new Float64Array(n);
  for (let i = 0; i < n; i++) out[i] = matrix[i * n + i]!;
  return out;
}

/** The unit matrix of size n. */
export function identity(n: number): Float64Array {
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++) out[i * n + i] = 1;
  return out;
}

/** S·M·S for S diagonal with the given entries: a covariance in other units. */
export function scaledBothSides(matrix: Float64Array, scale: ArrayLike<number>): Float64Array {
  const n = scale.length;
  const out = new Float64Array(matrix.length);
  for (let k = 0; k < out.length; k++) out[k] = matrix[k]! * scale[Math.floor(k / n)]! * scale[k % n]!;
  return out;
}
