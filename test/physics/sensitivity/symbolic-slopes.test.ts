import { evaluate } from "mathjs";
import { describe, expect, it } from "vitest";
import {
  CUT_MOVE,
  differentiateFaceMoves,
  STRAIGHT_MOVE,
} from "../../../src/physics/sensitivity/symbolic-slopes.js";

const DEGREE = Math.PI / 180;

/** A cut at the end of a piece that lies along x with its origin at 0, read at lateral place y of its own face. */
function cutAt(jigAngle: number, side: 1 | -1, y: number) {
  const a = 20;
  const alpha = side * jigAngle;
  const px = a - (side * y * Math.sin(jigAngle)) / Math.cos(jigAngle);
  const place = { ox: 0, oy: 0, px, py: y, nx: Math.cos(alpha), ny: Math.sin(alpha) };
  return { ...place, alpha, k: side, a, J: jigAngle };
}

describe("the move of a cut, by rule", () => {
  it.each([
    [45, 1, 0.7],
    [67.5, -1, -1.2],
    [22.5, 1, -0.4],
    [22.5, -1, 1.5],
  ] as const)("has the slopes of the closed form at %f°, side %i, y = %f mm", (degrees, side, y) => {
    const J = degrees * DEGREE;
    const slopes = differentiateFaceMoves()(cutAt(J, side, y));
    // h = e·cos J − σ·y·δ / cos J, outward.
    expect(slopes.e).toBeCloseTo(Math.cos(J), 12);
    expect(slopes.delta).toBeCloseTo((-side * y) / Math.cos(J), 12);
    expect(slopes.x).toBeCloseTo(Math.cos(J), 12);
    expect(slopes.y).toBeCloseTo(side * Math.sin(J), 12);
  });

  it("starts from no move, on the nominal face", () => {
    const zero = { delta: 0, e: 0, x: 0, y: 0, theta: 0 };
    expect(evaluate(CUT_MOVE, { ...cutAt(45 * DEGREE, 1, 0.7), ...zero })).toBeCloseTo(0, 12);
    const wall = { alpha: 0, ox: 0, oy: 30, px: 0, py: 12, nx: 1, ny: 0, k: 1, c: 0 };
    expect(evaluate(STRAIGHT_MOVE, { ...wall, ...zero })).toBeCloseTo(0, 12);
  });

  it("has a wall that turns about its middle move by its distance from there", () => {
    const wall = { alpha: 0, ox: 0, oy: 30, px: 0, py: 12, nx: 1, ny: 0, k: 1, c: 0 };
    // h = offset − turn·τ, τ along the normal turned +90°.
    expect(differentiateFaceMoves()(wall)).toMatchObject({ e: 1, delta: 18 });
  });
});
