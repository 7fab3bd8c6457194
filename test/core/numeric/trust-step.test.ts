import { describe, expect, it } from "vitest";
import {
  choleskyInPlace,
  choleskySolveInPlace,
  householderQr,
  lengthOf,
} from "../../../src/core/numeric/linear-algebra.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { trustStep } from "../../../src/core/numeric/trust-step.js";
import { gramOf, randomMatrix, times, transposedTimes } from "./matrices.js";

const stream = createStream(42);

/** ½‖f + J·z‖². */
const model = (j: Float64Array, f: Float64Array, z: Float64Array): number =>
  times(j, z).reduce((sum, move, i) => sum + (f[i]! + move) ** 2 / 2, 0);

/** −(JᵀJ + λ)⁻¹Jᵀf, by Cholesky. */
function dampedByHand(j: Float64Array, f: Float64Array, n: number, damping: number): Float64Array {
  const gram = gramOf(j, n);
  for (let i = 0; i < n; i++) gram[i * n + i]! += damping;
  expect(choleskyInPlace(gram, n)).toBe(true);
  const z = transposedTimes(j, n, f).map((g) => -g);
  choleskySolveInPlace(gram, n, z);
  return z;
}

describe.each([
  [3, 2],
  [20, 6],
] as const)("a step of %i terms and %i unknowns", (rows, n) => {
  const [j, f] = [randomMatrix(stream, rows, n), randomMatrix(stream, rows, 1)];
  const triangle = householderQr(j, rows, n, f);
  const full = trustStep(triangle, Number.POSITIVE_INFINITY);

  it("is the full one when the radius allows it", () => {
    expect(full.damping).toBe(0);
    const byHand = dampedByHand(j, f, n, 0);
    for (const [i, z] of full.step.entries()) expect(z).toBeCloseTo(byHand[i]!, 10);
    expect(trustStep(triangle, full.length)).toEqual(full);
  });

  it.each([0.5, 0.1, 1e-3, 1e-8])("keeps to %f of it, and is the damped one it says", (share) => {
    const radius = share * full.length;
    const { step, damping, length } = trustStep(triangle, radius);
    expect(Math.abs(length / radius - 1)).toBeLessThan(0.1 + 1e-12);
    expect(lengthOf(step)).toBeCloseTo(length, 12);
    const byHand = dampedByHand(j, f, n, damping);
    for (const [i, z] of step.entries()) expect(Math.abs(z - byHand[i]!)).toBeLessThan(1e-10 * length);
  });

  it("brings the terms lower than any other step of its length", () => {
    const { step, length } = trustStep(triangle, 0.3 * full.length);
    const least = model(j, f, step);
    for (let k = 0; k < 200; k++) {
      const other = stream.fill(new Float64Array(n));
      const by = length / lengthOf(other);
      expect(
        model(
          j,
          f,
          other.map((z) => z * by),
        ),
      ).toBeGreaterThan(least);
    }
  });
});

describe("a step that the terms do not determine", () => {
  it("is the shortest of those that do equally well", () => {
    // One term, two unknowns: 1·z₁ + 1·z₂ = 2.
    const { step, damping } = trustStep(householderQr(Float64Array.of(1, 1), 1, 2, Float64Array.of(-2)), 100);
    expect(damping).toBeGreaterThan(0);
    expect(step[0]).toBeCloseTo(1, 8);
    expect(step[1]).toBeCloseTo(1, 8);
  });

  it("keeps to its radius", () => {
    const { length } = trustStep(householderQr(Float64Array.of(1, 1), 1, 2, Float64Array.of(-2)), 0.1);
    expect(Math.abs(length / 0.1 - 1)).toBeLessThan(0.1);
  });

  it("stays put where no unknown matters", () => {
    const { step } = trustStep(householderQr(new Float64Array(4), 2, 2, Float64Array.of(1, 1)), 1);
    expect([...step].map(Math.abs)).toEqual([0, 0]);
  });
});
