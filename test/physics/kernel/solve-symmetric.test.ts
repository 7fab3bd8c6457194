import { describe, expect, it } from "vitest";
import { choleskyInPlace, choleskySolveInPlace } from "../../../src/core/numeric/linear-algebra.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { createEngine } from "../../../src/physics/kernel/engine.js";
import { solveSymmetric, Tape } from "../../../src/physics/kernel/tape.js";

describe("solving a symmetric system on a tape", () => {
  it("agrees with Cholesky's method, in any order of elimination", () => {
    const stream = createStream(11);
    for (const n of [1, 2, 5, 9]) {
      const root = stream.fill(new Float64Array(n * n));
      const a = new Float64Array(n * n);
      for (let i = 0; i < n; i++) {
        for (let j = 0; j < n; j++) {
          for (let k = 0; k < n; k++) a[i * n + j]! += root[i * n + k]! * root[j * n + k]!;
          if (i === j) a[i * n + j]! += 1;
        }
      }
      const b = stream.fill(new Float64Array(n));
      const tape = new Tape();
      const order = [...Array(n).keys()].sort(() => stream.normal());
      const matrix = Array.from({ length: n }, (_, i) =>
        Array.from({ length: n }, (_, j) => tape.load(i * n + j)),
      );
      const right = Array.from({ length: n }, (_, i) => tape.load(n * n + i));
      const { solution } = solveSymmetric(tape, matrix, right, order);
      for (const [i, x] of solution.entries()) tape.store(n * n + n + i, x);
      const engine = createEngine({ solve: tape.finish("solve") }, n * n + 2 * n, "javascript");
      engine.memory.set(a);
      engine.memory.set(b, n * n);
      engine.run.solve(0, 0);
      expect(choleskyInPlace(a, n)).toBe(true);
      choleskySolveInPlace(a, n, b);
      for (let i = 0; i < n; i++) expect(engine.memory[n * n + n + i]).toBeCloseTo(b[i]!, 12);
    }
  });

  it("records nothing for zeros, so that the order decides how much there is to do", () => {
    // A hub that touches all, who do not touch each other: last it fills in nothing, first it fills in everything.
    const n = 12;
    const recorded = (order: readonly number[]): number => {
      const tape = new Tape();
      const matrix = Array.from({ length: n }, (_, i) =>
        Array.from({ length: n }, (_, j) =>
          i === j || i === 0 || j === 0 ? tape.load(Math.max(i, j) * n + Math.min(i, j)) : tape.zero,
        ),
      );
      const right = Array.from({ length: n }, (_, i) => tape.load(n * n + i));
      for (const [i, x] of solveSymmetric(tape, matrix, right, order).solution.entries()) tape.store(i, x);
      return tape.finish("hub").entries.filter(({ op }) => op === "multiply").length;
    };
    const nodes = [...Array(n).keys()];
    // One product for each factor, pivot, right side and unknown: 4·(n − 1) and the n unknowns by their pivots.
    expect(recorded([...nodes.slice(1), 0])).toBe(4 * (n - 1) + n);
    expect(recorded(nodes)).toBeGreaterThan(n ** 3 / 6);
  });
});
