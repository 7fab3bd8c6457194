import { faceSegments } from "./face-segments.js";
import type { HalfPlane } from "./half-plane.js";
import { dot, sub, turnedLeft, type Vec } from "./vector.js";

/** Corners of the bounded intersection of half-planes, counter-clockwise; empty when there is none. */
export function polygonOf(planes: readonly HalfPlane[]): Vec[] {
  return planes
    .map((plane, index) => ({ angle: Math.atan2(plane.normal.y, plane.normal.x), index }))
    .sort((a, b) => a.angle - b.angle)
    .flatMap(({ index }) => faceSegments(planes)[index]?.from ?? []);
}

/**
 * How deep two convex polygons overlap, mm: the smallest move that parts them (separating-axis test over the edges of both).
 * Zero or negative when they touch or lie apart.
 */
export function overlapDepth(a: readonly Vec[], b: readonly Vec[]): number {
  return Math.min(depthAcrossEdges(a, b), depthAcrossEdges(b, a));
}

function depthAcrossEdges(a: readonly Vec[], b: readonly Vec[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const [i, from] of a.entries()) {
    const edge = sub(a[(i + 1) % a.length]!, from);
    const length = Math.hypot(edge.x, edge.y);
    if (length === 0) continue;
    const inward = turnedLeft({ x: edge.x / length, y: edge.y / length });
    least = Math.min(least, Math.max(...b.map((corner) => dot(inward, sub(corner, from)))));
  }
  return least;
}
