import { describe, expect, it } from "vitest";
import {
  direction,
  halfPlaneThrough,
  overlapDepth,
  polygonOf,
  scale,
  type Vec,
  vec,
} from "../../../src/core/geometry.js";
import { polygonArea } from "./polygon-area.js";

const square = (x: number, y: number, side = 1): Vec[] => [
  vec(x, y),
  vec(x + side, y),
  vec(x + side, y + side),
  vec(x, y + side),
];

describe("a polygon of half-planes", () => {
  it("has the area of the regular polygon about a circle, n·tan(π/n)", () => {
    // Sides in steps of 5, so out of order: n has no factor in common with it.
    for (const n of [3, 4, 7, 8, 12]) {
      const planes = Array.from({ length: n }, (_, i) => {
        const angle = (2 * Math.PI * ((i * 5) % n)) / n + 0.3;
        return halfPlaneThrough(angle, scale(direction(angle), 1));
      });
      const corners = polygonOf(planes);
      expect(corners).toHaveLength(n);
      expect(polygonArea(corners)).toBeCloseTo(n * Math.tan(Math.PI / n), 12);
    }
  });

  it("is empty when nothing is left", () => {
    const planes = [halfPlaneThrough(0, vec(-1, 0)), halfPlaneThrough(Math.PI, vec(1, 0))];
    expect(polygonOf([...planes, halfPlaneThrough(1, vec(0, 0)), halfPlaneThrough(-2, vec(0, 0))])).toEqual(
      [],
    );
    expect(polygonArea([])).toBe(0);
  });

  it("has an area that is negative when its corners run clockwise", () => {
    expect(polygonArea(square(3, 4, 2))).toBeCloseTo(4, 12);
    expect(polygonArea(square(3, 4, 2).reverse())).toBeCloseTo(-4, 12);
  });
});

describe("how deep two polygons overlap", () => {
  it("is the smallest move that parts them", () => {
    expect(overlapDepth(square(0, 0), square(0.75, 0.4))).toBeCloseTo(0.25, 12);
    expect(overlapDepth(square(0, 0), square(0.4, 0.75))).toBeCloseTo(0.25, 12);
  });

  it("finds a corner that pokes into an edge", () => {
    const diamond = [vec(0.9, 0.5), vec(1.9, -0.5), vec(2.9, 0.5), vec(1.9, 1.5)];
    expect(overlapDepth(square(0, 0), diamond)).toBeCloseTo(0.1, 12);
  });

  it("is zero when they touch, negative when they lie apart, whichever comes first", () => {
    expect(overlapDepth(square(0, 0), square(1, 0.3))).toBeCloseTo(0, 12);
    expect(overlapDepth(square(0, 0), square(1.2, 0.3))).toBeCloseTo(-0.2, 12);
    expect(overlapDepth(square(1.2, 0.3), square(0, 0))).toBeCloseTo(-0.2, 12);
  });

  it("is the smaller width when one lies inside the other", () => {
    expect(overlapDepth(square(0, 0, 10), square(4, 7))).toBeCloseTo(3, 12);
  });
});
