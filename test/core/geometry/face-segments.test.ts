import { describe, expect, it } from "vitest";
import { distance, faceSegments, halfPlaneThrough, vec } from "../../../src/core/geometry.js";

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
