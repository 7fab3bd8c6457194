import type { Vec } from "../../src/core/geometry.js";

/** Area of a polygon, mm²; positive when its corners run counter-clockwise. */
export function polygonArea(corners: readonly Vec[]): number {
  return (
    corners.reduce((sum, a, i) => {
      const b = corners[(i + 1) % corners.length]!;
      return sum + a.x * b.y - a.y * b.x;
    }, 0) / 2
  );
}
