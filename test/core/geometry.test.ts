import { describe, expect, it } from "vitest";
import {
  add,
  bisectorLength,
  crossing,
  direction,
  distance,
  dot,
  faceSegments,
  halfPlaneThrough,
  incentre,
  overlapDepth,
  polygonOf,
  rotate,
  scale,
  sub,
  turnedLeft,
  type Vec,
  vec,
} from "../../src/core/geometry.js";
import { polygonArea } from "./polygon-area.js";

describe("vectors", () => {
  it("turn counter-clockwise", () => {
    expect(turnedLeft(vec(1, 0))).toEqual(vec(-0, 1));
    expect(distance(rotate(vec(1, 0), Math.PI / 2), vec(0, 1))).toBeLessThan(1e-16);
    expect(distance(rotate(vec(3, 4), Math.PI), vec(-3, -4))).toBeLessThan(1e-15);
    expect(distance(direction(Math.PI / 6), vec(Math.sqrt(3) / 2, 0.5))).toBeLessThan(1e-15);
  });

  it("keep length and angle when turned", () => {
    const [a, b] = [vec(1.5, -2), vec(-0.25, 7)];
    for (let k = 0; k < 12; k++) {
      expect(dot(rotate(a, k), rotate(b, k))).toBeCloseTo(dot(a, b), 12);
      expect(dot(rotate(a, Math.PI / 2), turnedLeft(b))).toBeCloseTo(dot(a, b), 12);
    }
  });

  it("add, subtract and scale", () => {
    expect(add(vec(1, 2), vec(3, 5))).toEqual(vec(4, 7));
    expect(sub(vec(1, 2), vec(3, 5))).toEqual(vec(-2, -3));
    expect(scale(vec(1, -2), 3)).toEqual(vec(3, -6));
    expect(distance(vec(1, 1), vec(4, 5))).toBe(5);
  });
});

describe("half-planes", () => {
  it("hold the point they go through on their line", () => {
    const through = vec(3, -7);
    for (let k = 0; k < 12; k++) {
      const plane = halfPlaneThrough(k, through);
      expect(dot(plane.normal, plane.normal)).toBeCloseTo(1, 15);
      expect(dot(plane.normal, through)).toBeCloseTo(plane.offset, 13);
    }
  });

  it("cross in the point that both go through", () => {
    const through = vec(3, -7);
    for (const turn of [0.01, 1, 2, 3.1]) {
      const place = crossing(halfPlaneThrough(0.4, through), halfPlaneThrough(0.4 + turn, through));
      expect(distance(place, through)).toBeLessThan(1e-12);
    }
  });

  it("do not cross when parallel", () => {
    const place = crossing(halfPlaneThrough(0, vec(1, 0)), halfPlaneThrough(0, vec(2, 0)));
    expect(Number.isFinite(place.x) && Number.isFinite(place.y)).toBe(false);
  });
});

/* The figures of textbook triangles are among the outside checks, src/validate/geometry.ts. */
it("a triangle may name its corners in any order", () => {
  const [a, b, c] = [vec(1, 4), vec(-2, 0), vec(5, -1)];
  const centre = incentre(a, b, c);
  expect(distance(incentre(c, a, b), centre)).toBeLessThan(1e-14);
  expect(distance(incentre(b, a, c), centre)).toBeLessThan(1e-14);
  expect(bisectorLength(a, c, b)).toBeCloseTo(bisectorLength(a, b, c), 12);
  expect(bisectorLength(b, a, c)).not.toBeCloseTo(bisectorLength(a, b, c), 1);
});

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

const facing = (degrees: number, x: number, y: number) =>
  halfPlaneThrough((degrees * Math.PI) / 180, vec(x, y));

/** The rectangle 0 ≤ x ≤ 4, 0 ≤ y ≤ 2: right, top, left, bottom. */
const RECTANGLE = [facing(0, 4, 0), facing(90, 0, 2), facing(180, 0, 0), facing(-90, 0, 0)];

describe("the edges of an intersection of half-planes", () => {
  it("run counter-clockwise, each from where the one before it ends", () => {
    const edges = faceSegments(RECTANGLE);
    expect(edges.map((edge) => edge!.length)).toEqual([2, 4, 2, 4].map((x) => expect.closeTo(x, 12)));
    const corners = [vec(4, 0), vec(4, 2), vec(0, 2), vec(0, 0)];
    for (const [i, edge] of edges.entries()) {
      expect(distance(edge!.from, corners[i]!)).toBeLessThan(1e-12);
      expect(distance(edge!.to, corners[(i + 1) % 4]!)).toBeLessThan(1e-12);
    }
  });

  it("shorten where a cut takes the corner off, and vanish where it takes the edge", () => {
    const corner = faceSegments([...RECTANGLE, facing(45, 4, 1)]);
    expect(corner.map((edge) => edge!.length)).toEqual(
      [1, 3, 2, 4, Math.SQRT2].map((x) => expect.closeTo(x, 12)),
    );
    const whole = faceSegments([...RECTANGLE, facing(45, 3.5, -1)]);
    expect(whole[0]).toBeNull();
    expect(whole[4]!.length).toBeCloseTo(2 * Math.SQRT2, 12);
  });

  it("are none where a half-plane only touches a corner, lies outside, or nothing is left", () => {
    expect(faceSegments([...RECTANGLE, facing(45, 4, 2.001)])[4]).toBeNull();
    expect(faceSegments([...RECTANGLE, facing(0, 4.5, 0)])[4]).toBeNull();
    expect(faceSegments([...RECTANGLE, facing(0, -0.5, 0)])).toEqual([null, null, null, null, null]);
  });

  it("have no end where the intersection has none", () => {
    const [right, top, , bottom] = RECTANGLE;
    const edges = faceSegments([right!, top!, bottom!]);
    expect(edges.map((edge) => edge!.length)).toEqual([expect.closeTo(2, 12), Infinity, Infinity]);
  });
});
