import { direction, dot } from "../geometry/vector.js";
import type { Cell } from "../lattice/cell.js";

/** Directions that agree to this are one. */
const SAME = 1e-9;

/** Clear width and height of a cell between four upright and level walls, mm; `null` for a cell of another shape. */
export function cellSize({
  walls,
}: Pick<Cell, "walls">): { readonly width: number; readonly height: number } | null {
  const facing = [0, 1, 2, 3].map((k) => {
    const towards = direction((k * Math.PI) / 2);
    return walls.find(({ normal }) => dot(direction(normal), towards) > 1 - SAME);
  });
  const [left, bottom] = facing;
  if (walls.length !== 4 || facing.includes(undefined) || !left || !bottom) return null;
  return { width: 2 * bottom.halfLength, height: 2 * left.halfLength };
}
