import type { Vec } from "../../geometry/vector.js";

/** A rectangle with its sides along the axes. */
export interface Box {
  readonly left: number;
  readonly right: number;
  readonly bottom: number;
  readonly top: number;
}

/** The part of a convex polygon that lies in the box (each side of the box cuts in turn). */
export function clipPolygon(corners: readonly Vec[], box: Box): Vec[] {
  const room: ((p: Vec) => number)[] = [
    (p) => p.x - box.left,
    (p) => box.right - p.x,
    (p) => p.y - box.bottom,
    (p) => box.top - p.y,
  ];
  return room.reduce<readonly Vec[]>(cutBy, corners).slice();
}

function cutBy(corners: readonly Vec[], room: (p: Vec) => number): Vec[] {
  return corners.flatMap((a, i) => {
    const b = corners[(i + 1) % corners.length]!;
    const [atA, atB] = [room(a), room(b)];
    const kept = atA >= 0 ? [a] : [];
    if (atA >= 0 === atB >= 0) return kept;
    const share = atA / (atA - atB);
    return [...kept, { x: a.x + share * (b.x - a.x), y: a.y + share * (b.y - a.y) }];
  });
}

/** The least box around points. */
export function boxAround(points: readonly Vec[]): Box {
  const xs = points.map((p) => p.x);
  const ys = points.map((p) => p.y);
  return {
    left: Math.min(...xs),
    right: Math.max(...xs),
    bottom: Math.min(...ys),
    top: Math.max(...ys),
  };
}

/** Mean of the corners. */
export const middleOf = (corners: readonly Vec[]): Vec => ({
  x: corners.reduce((sum, p) => sum + p.x, 0) / corners.length,
  y: corners.reduce((sum, p) => sum + p.y, 0) / corners.length,
});
