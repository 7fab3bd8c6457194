import { describe, expect, it } from "vitest";
import { crossing, distance, dot, halfPlaneThrough, vec } from "../../../src/core/geometry.js";

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
