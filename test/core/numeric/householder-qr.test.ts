import { describe, expect, it } from "vitest";
import {
  householderQr,
  inverseOfGram,
  rankOf,
  solveTriangle,
} from "../../../src/core/numeric/linear-algebra.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { gramOf, largest, randomMatrix, times, transposedTimes } from "./matrices.js";

const stream = createStream(41);
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
    const a = randomMatrix(stream, rows, columns);
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
    const [a, b] = [randomMatrix(stream, 5, 3), randomMatrix(stream, 5, 1)];
    const [a0, b0] = [a.slice(), b.slice()];
    householderQr(a, 5, 3, b);
    expect([a, b]).toEqual([a0, b0]);
  });
});

describe("solving", () => {
  it.each(SHAPES)("%i × %i leaves a remainder at right angles to every column", (rows, columns) => {
    const [a, b] = [randomMatrix(stream, rows, columns), randomMatrix(stream, rows, 1)];
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
    const a = randomMatrix(stream, rows, columns);
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
