import { all, type BigNumber, create } from "mathjs";
import { describe, expect, it } from "vitest";
import { symmetricEigen, symmetricInverse } from "../../../src/core/numeric/linear-algebra.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { big } from "./big.js";
import { gramOf, randomMatrix } from "./matrices.js";

const math = create(all!, { number: "BigNumber", precision: 64 });
const stream = createStream(77);

const rowsOf = (matrix: Float64Array, n: number): number[][] =>
  Array.from({ length: n }, (_, i) => [...matrix.subarray(i * n, (i + 1) * n)]);

/** A random symmetric positive definite matrix whose rows have scales from 1 to 10^`decades`. */
function spread(n: number, decades: number): Float64Array {
  const a = gramOf(randomMatrix(stream, 2 * n, n), n);
  const scale = Array.from({ length: n }, (_, i) => 10 ** ((decades * i) / Math.max(1, n - 1)));
  return a.map((value, k) => value * scale[Math.floor(k / n)]! * scale[k % n]!);
}

const bigRows = (matrix: Float64Array, n: number): BigNumber[][] =>
  rowsOf(matrix, n).map((row) => row.map((x) => big(x)));

describe("the inverse of a symmetric positive definite matrix", () => {
  it("is that of 64-digit arithmetic to near machine precision, whatever the scales of its rows", () => {
    for (const [n, decades] of [
      [1, 0],
      [2, 1],
      [5, 3],
      [12, 4],
    ] as const) {
      const matrix = spread(n, decades);
      const found = symmetricInverse(matrix, n);
      const exact = math.inv(bigRows(matrix, n));
      for (let i = 0; i < n; i++)
        for (let j = 0; j < n; j++) {
          const unit = math.sqrt(exact[i]![i]!.times(exact[j]![j]!)) as BigNumber;
          const miss = big(found[i * n + j]!)
            .minus(exact[i]![j]!)
            .div(unit)
            .abs()
            .toNumber();
          expect(miss).toBeLessThan(1e-13);
          expect(found[i * n + j]).toBe(found[j * n + i]);
        }
    }
  });

  it("refuses a matrix that is singular or has a negative direction", () => {
    expect(() => symmetricInverse(Float64Array.of(1, 1, 1, 1), 2)).toThrow(RangeError);
    expect(() => symmetricInverse(Float64Array.of(1, 2, 2, 1), 2)).toThrow("not positive definite");
  });
});

describe("the eigensystem of a symmetric matrix", () => {
  it("is the one worked by hand", () => {
    // (2 1; 1 2): 1 along (1, −1), 3 along (1, 1).
    const { values, vectors } = symmetricEigen(Float64Array.of(2, 1, 1, 2), 2);
    expect(values[0]).toBeCloseTo(1, 15);
    expect(values[1]).toBeCloseTo(3, 15);
    expect(vectors[0]![0]! + vectors[0]![1]!).toBeCloseTo(0, 15);
    expect(Math.abs(vectors[1]![0]! + vectors[1]![1]!)).toBeCloseTo(Math.SQRT2, 15);
  });

  it("leaves a diagonal matrix as it is, its values sorted", () => {
    const { values, vectors } = symmetricEigen(Float64Array.of(3, 0, 0, 0, -1, 0, 0, 0, 0), 3);
    expect(values).toEqual([-1, 0, 3]);
    expect(vectors.map((vector) => [...vector])).toEqual([
      [0, 1, 0],
      [0, 0, 1],
      [1, 0, 0],
    ]);
  });

  it("has the values of mathjs, and vectors that the matrix only stretches", () => {
    for (const n of [1, 2, 3, 8, 20]) {
      const square = randomMatrix(stream, n, n);
      const matrix = square.map((_, k) => square[k]! + square[(k % n) * n + Math.floor(k / n)]!);
      const { values, vectors } = symmetricEigen(matrix, n);
      const other = (math.eigs(rowsOf(matrix, n)).values as unknown as number[])
        .map(Number)
        .sort((a, b) => a - b);
      const size = Math.max(...values.map(Math.abs));
      for (const [k, vector] of vectors.entries()) {
        expect(Math.abs(values[k]! - other[k]!)).toBeLessThan(1e-11 * size);
        const stretched = rowsOf(matrix, n).map((row) => row.reduce((sum, x, j) => sum + x * vector[j]!, 0));
        for (const [i, x] of stretched.entries())
          expect(Math.abs(x - values[k]! * vector[i]!)).toBeLessThan(2e-14 * size * n);
        for (const [l, second] of vectors.entries()) {
          const product = vector.reduce((sum, x, i) => sum + x * second[i]!, 0);
          expect(Math.abs(product - (k === l ? 1 : 0))).toBeLessThan(1e-14 * n);
        }
      }
    }
  });

  it("finds small values beside large ones: those of a graded matrix to their own size", () => {
    const matrix = spread(6, 4);
    const { values } = symmetricEigen(matrix, 6);
    const inverse = math.inv(bigRows(matrix, 6));
    const traced = inverse.reduce((sum, row, i) => sum.plus(row[i]!), math.bignumber(0));
    // The trace of the inverse is the sum of the values' inverses: it is the smallest that makes it up.
    const sum = values.reduce((total, value) => total + 1 / value, 0);
    expect(Math.abs(sum / traced.toNumber() - 1)).toBeLessThan(1e-12);
  });

  it("copes with values that are alike, with one entry and with none", () => {
    const ones = new Float64Array(16).fill(1);
    const { values, vectors } = symmetricEigen(ones, 4);
    expect(values[3]).toBeCloseTo(4, 14);
    for (const value of values.slice(0, 3)) expect(Math.abs(value)).toBeLessThan(1e-15 * 8);
    expect(vectors).toHaveLength(4);
    expect(symmetricEigen(Float64Array.of(7), 1).values).toEqual([7]);
    expect(symmetricEigen(new Float64Array(0), 0).values).toEqual([]);
    expect(() => symmetricEigen(Float64Array.of(1, Number.NaN, Number.NaN, 1), 2)).toThrow(RangeError);
  });
});
