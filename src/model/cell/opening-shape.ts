import { direction, dot } from "../../core/geometry.js";
import type { Wall } from "./arrangement.js";

/** Directions count as equal within this tolerance. */
const SAME = 1e-9;
const TURN = 2 * Math.PI;

/** A rectangle with upright and level sides: clear width and height, mm, and its walls from the left, right, top, bottom. */
export interface UprightOpening {
  readonly kind: "upright";
  readonly width: number;
  readonly height: number;
  readonly walls: readonly [left: string, right: string, top: string, bottom: string];
}

/** An equilateral triangle with a level side. */
export interface TriangularOpening {
  readonly kind: "triangular";
  /** Clear side, mm. */
  readonly side: number;
  /** The level wall, above or below, and the next two counter-clockwise round the opening: one along the strips that fall to the right, one along those that rise to the right. */
  readonly walls: readonly [level: string, falling: string, rising: string];
}

/** The shape of an opening if a grid of straight strips can enclose it; `null` for any other shape. */
export function openingShape(walls: readonly Wall[]): UprightOpening | TriangularOpening | null {
  const facing = (angle: number): Wall | undefined =>
    walls.find(({ normal }) => dot(direction(normal), direction(angle)) > 1 - SAME);
  if (walls.length === 4) {
    const [left, bottom, right, top] = [0, 1, 2, 3].map((k) => facing((k * TURN) / 4));
    if (!left || !right || !top || !bottom) return null;
    return {
      kind: "upright",
      width: 2 * bottom.halfLength,
      height: 2 * left.halfLength,
      walls: [left.name, right.name, top.name, bottom.name],
    };
  }
  if (walls.length !== 3) return null;
  for (const inwards of [TURN / 4, -TURN / 4]) {
    const [level, falling, rising] = [0, 1, 2].map((k) => facing(inwards + (k * TURN) / 3));
    if (!level || !falling || !rising) continue;
    return {
      kind: "triangular",
      side: 2 * level.halfLength,
      walls: [level.name, falling.name, rising.name],
    };
  }
  return null;
}
