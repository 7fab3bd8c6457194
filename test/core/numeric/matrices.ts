import type { RandomStream } from "../../../src/core/numeric/random-stream.js";

/** A row-major matrix of standard normals. */
export const randomMatrix = (stream: RandomStream, rows: number, columns: number): Float64Array =>
  stream.fill(new Float64Array(rows * columns));

/** AᵀA, row-major. */
export function gramOf(a: Float64Array, columns: number): Float64Array {
  const out = new Float64Array(columns * columns);
  for (let row = 0; row < a.length; row += columns)
    for (let i = 0; i < columns; i++)
      for (let j = 0; j < columns; j++) out[i * columns + j]! += a[row + i]! * a[row + j]!;
  return out;
}

/** Aᵀb. */
export function transposedTimes(a: Float64Array, columns: number, b: Float64Array): Float64Array {
  const out = new Float64Array(columns);
  for (const [i, value] of b.entries())
    for (let j = 0; j < columns; j++) out[j]! += a[i * columns + j]! * value;
  return out;
}

/** A·x. */
export const times = (a: Float64Array, x: Float64Array): Float64Array =>
  Float64Array.from({ length: a.length / x.length }, (_, i) =>
    x.reduce((sum, value, j) => sum + a[i * x.length + j]! * value, 0),
  );

export const largest = (values: Iterable<number>): number => Math.max(0, ...[...values].map(Math.abs));
