import { expect, it } from "vitest";
import { bisectorLength, distance, incentre, vec } from "../../../src/core/geometry.js";

/* The figures of textbook triangles are among the outside checks, src/validate/geometry.ts. */
it("a triangle may name its corners in any order", () => {
  const [a, b, c] = [vec(1, 4), vec(-2, 0), vec(5, -1)];
  const centre = incentre(a, b, c);
  expect(distance(incentre(c, a, b), centre)).toBeLessThan(1e-14);
  expect(distance(incentre(b, a, c), centre)).toBeLessThan(1e-14);
  expect(bisectorLength(a, c, b)).toBeCloseTo(bisectorLength(a, b, c), 12);
  expect(bisectorLength(b, a, c)).not.toBeCloseTo(bisectorLength(a, b, c), 1);
});
