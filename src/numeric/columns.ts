/** √Σv², neither overflowing nor vanishing on the way. */
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

/** The matrix with column j divided by `by[j]`. */
export function dividedColumns(matrix: Float64Array, by: Float64Array): Float64Array {
  return matrix.map((value, i) => value / by[i % by.length]!);
}
