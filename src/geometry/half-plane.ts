import { direction, dot, type Vec, vec } from "./vector.js";

/** The points p with n·p ≤ c; `normal` is the unit outward normal, `offset` c in mm. */
export interface HalfPlane {
  readonly normal: Vec;
  readonly offset: number;
}

/** Half-plane with outward normal at `angle` (rad) through the point `through`. */
export function halfPlaneThrough(angle: number, through: Vec): HalfPlane {
  const normal = direction(angle);
  return { normal, offset: dot(normal, through) };
}

/** Where two boundary lines cross; coordinates are ±Infinity or NaN when they are parallel. */
export function crossing(a: HalfPlane, b: HalfPlane): Vec {
  const det = a.normal.x * b.normal.y - a.normal.y * b.normal.x;
  return vec(
    (a.offset * b.normal.y - b.offset * a.normal.y) / det,
    (a.normal.x * b.offset - b.normal.x * a.offset) / det,
  );
}
