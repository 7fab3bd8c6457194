import { all, type BigNumber, create } from "mathjs";
import { describe, expect, it } from "vitest";
import {
  choleskyInPlace,
  choleskySolveInPlace,
  downwardCurvature,
  householderQr,
  inverseOfGram,
  rankOf,
  solveTriangle,
  symmetricEigen,
  symmetricInverse,
} from "../../../src/core/numeric/linear-algebra.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { big } from "./big.js";
import { gramOf, largest, randomMatrix, times, transposedTimes } from "./matrices.js";

const stream = createStream(31);

/** MᵀM + shift·I of a random square M, row-major. */
function gram(n: number, shift: number): Float64Array {
  const m = stream.fill(new Float64Array(n * n));
  const out = new Float64Array(n * n);
  for (let i = 0; i < n; i++)
    for (let j = 0; j < n; j++) {
      for (let k = 0; k < n; k++) out[i * n + j]! += m[k * n + i]! * m[k * n + j]!;
      if (i === j) out[i * n + j]! += shift;
    }
  return out;
}

const timesVector = (a: Float64Array, n: number, x: Float64Array): Float64Array =>
  x.map((_, i) => x.reduce((sum, xj, j) => sum + a[i * n + j]! * xj, 0));
const dot = (a: Float64Array, b: Float64Array): number => a.reduce((sum, x, i) => sum + x * b[i]!, 0);

describe("Cholesky", () => {
  it("gives the factor of a matrix worked by hand", () => {
    // (4 2; 2 5) = (2 0; 1 2)(2 1; 0 2).
    const a = Float64Array.of(4, 2, 2, 5);
    expect(choleskyInPlace(a, 2)).toBe(true);
    expect([a[0], a[2], a[3]]).toEqual([2, 1, 2]);
  });

  it("solves", () => {
    for (const n of [1, 2, 5, 21]) {
      const a = gram(n, 0.1);
      const x = stream.fill(new Float64Array(n));
      const b = timesVector(a, n, x);
      expect(choleskyInPlace(a, n)).toBe(true);
      choleskySolveInPlace(a, n, b);
      for (let i = 0; i < n; i++) expect(Math.abs(b[i]! - x[i]!)).toBeLessThan(1e-10);
    }
  });

  it("refuses a matrix that is singular, indefinite or not a number", () => {
    expect(choleskyInPlace(Float64Array.of(1, 1, 1, 1), 2)).toBe(false);
    expect(choleskyInPlace(Float64Array.of(1, 2, 2, 1), 2)).toBe(false);
    expect(choleskyInPlace(Float64Array.of(1, 0, 0, Number.NaN), 2)).toBe(false);
    expect(choleskyInPlace(Float64Array.of(0, 0, 0, 1), 2)).toBe(false);
  });
});

describe("a direction of downward curvature", () => {
  it("is none in a positive definite matrix", () => {
    expect(downwardCurvature(gram(6, 0.1), 6)).toBeNull();
  });

  it("curves down in every indefinite one", () => {
    for (let k = 0; k < 50; k++) {
      const n = 2 + (k % 7);
      const a = gram(n, 0);
      // Enough off one diagonal place to make it indefinite: more than the whole trace.
      const trace = Array.from({ length: n }, (_, i) => a[i * n + i]!).reduce((x, y) => x + y);
      a[(k % n) * (n + 1)]! -= 1.1 * trace;
      const v = downwardCurvature(a.slice(), n)!;
      expect(dot(v, timesVector(a, n, v))).toBeLessThan(0);
      expect(v.some((x) => x === 1)).toBe(true);
    }
  });

  it("is the direction worked by hand", () => {
    // (1 2; 2 1): pivot 1 − 4 = −3 along (−2, 1).
    const a = Float64Array.of(1, 2, 2, 1);
    const v = downwardCurvature(a.slice(), 2)!;
    expect([...v]).toEqual([-2, 1]);
    expect(dot(v, timesVector(a, 2, v))).toBe(-3);
  });
});

const qrStream = createStream(41);
const SHAPES = [
  [1, 1],
  [3, 3],
  [6, 4],
  [40, 7],
] as const;

describe("the factors", () => {
  it("of one column are its length and the projection on it", () => {
    const { r, qtb } = householderQr(Float64Array.of(3, 4), 2, 1, Float64Array.of(10, 5));
    expect(Math.abs(r[0]!)).toBeCloseTo(5, 14);
    expect(qtb[0]! * Math.sign(r[0]!)).toBeCloseTo((3 * 10 + 4 * 5) / 5, 14);
  });

  it.each(SHAPES)("of %i × %i have the gram matrix of the columns in their order", (rows, columns) => {
    const a = randomMatrix(qrStream, rows, columns);
    const { r, order } = householderQr(a, rows, columns, new Float64Array(rows));
    const [gram, ours] = [gramOf(a, columns), gramOf(r, columns)];
    for (let i = 0; i < columns; i++)
      for (let j = 0; j < columns; j++)
        expect(ours[i * columns + j]).toBeCloseTo(gram[order[i]! * columns + order[j]!]!, 11);
    for (let i = 0; i < columns; i++) for (let j = 0; j < i; j++) expect(r[i * columns + j]).toBe(0);
    const pivots = Array.from({ length: columns }, (_, k) => Math.abs(r[k * columns + k]!));
    expect(pivots).toEqual([...pivots].sort((a, b) => b - a));
  });

  it("leave the matrix and the right-hand side as they were", () => {
    const [a, b] = [randomMatrix(qrStream, 5, 3), randomMatrix(qrStream, 5, 1)];
    const [a0, b0] = [a.slice(), b.slice()];
    householderQr(a, 5, 3, b);
    expect([a, b]).toEqual([a0, b0]);
  });
});

describe("solving", () => {
  it.each(SHAPES)("%i × %i leaves a remainder at right angles to every column", (rows, columns) => {
    const [a, b] = [randomMatrix(qrStream, rows, columns), randomMatrix(qrStream, rows, 1)];
    const triangle = householderQr(a, rows, columns, b);
    const x = solveTriangle(triangle, triangle.qtb);
    const remainder = times(a, x).map((value, i) => value - b[i]!);
    expect(largest(transposedTimes(a, columns, remainder))).toBeLessThan(1e-12);
  });

  it("gives zero to what cannot be told apart, and the least remainder all the same", () => {
    // The third column is the sum of the others.
    const a = Float64Array.from([1, 2, 3, 0, 1, 1, 2, 1, 3, 1, 1, 2]);
    const b = Float64Array.of(1, -1, 2, 5);
    const triangle = householderQr(a, 4, 3, b);
    expect(rankOf(triangle.r, 3)).toBe(2);
    const x = solveTriangle(triangle, triangle.qtb);
    expect([...x].filter((value) => value === 0)).toHaveLength(1);
    const remainder = times(a, x).map((value, i) => value - b[i]!);
    expect(largest(transposedTimes(a, 3, remainder))).toBeLessThan(1e-13);
  });

  it("takes fewer rows than columns, and no columns that are anything", () => {
    const wide = householderQr(Float64Array.of(1, 2, 2), 1, 3, Float64Array.of(4));
    expect(rankOf(wide.r, 3)).toBe(1);
    expect([...solveTriangle(wide, wide.qtb)].sort()).toEqual([0, 0, 2]);
    const none = householderQr(new Float64Array(4), 2, 2, Float64Array.of(1, 1));
    expect(rankOf(none.r, 2)).toBe(0);
    expect([...solveTriangle(none, none.qtb)]).toEqual([0, 0]);
  });
});

describe("the inverse of the gram matrix", () => {
  it.each(SHAPES)("of %i × %i times the gram matrix is one", (rows, columns) => {
    const a = randomMatrix(qrStream, rows, columns);
    const inverse = inverseOfGram(householderQr(a, rows, columns, new Float64Array(rows)))!;
    const gram = gramOf(a, columns);
    for (let i = 0; i < columns; i++)
      for (let j = 0; j < columns; j++) {
        let sum = 0;
        for (let k = 0; k < columns; k++) sum += inverse[i * columns + k]! * gram[k * columns + j]!;
        expect(sum).toBeCloseTo(i === j ? 1 : 0, 9);
      }
  });

  it("is none for dependent columns, and is there for nearly dependent ones", () => {
    const pair = (by: number) =>
      inverseOfGram(householderQr(Float64Array.of(1, 1, 1, 1 + by), 2, 2, new Float64Array(2)));
    expect(pair(0)).toBeNull();
    expect(pair(1e-15)).toBeNull();
    expect(pair(1e-6)).not.toBeNull();
  });
});

const math = create(all!, { number: "BigNumber", precision: 64 });
const eigenStream = createStream(77);

const rowsOf = (matrix: Float64Array, n: number): number[][] =>
  Array.from({ length: n }, (_, i) => [...matrix.subarray(i * n, (i + 1) * n)]);

/** A random symmetric positive definite matrix whose rows have scales from 1 to 10^`decades`. */
function spread(n: number, decades: number): Float64Array {
  const a = gramOf(randomMatrix(eigenStream, 2 * n, n), n);
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
      const square = randomMatrix(eigenStream, n, n);
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
