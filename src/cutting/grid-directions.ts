import type { Arrangement } from "../lattice/arrangement.js";
import type { Cell } from "../lattice/cell.js";
import { errorLayout, noErrors } from "./error-layout.js";

/** Names of a cell's walls begin with this; the references of a bench have other names. */
const GRID_WALL = "wall-";

/** Change of each elementary error by a grid racked by 1 rad: upright strips turned counter-clockwise about their middles, level ones clockwise. None on a bench, or where strips do not cross at right angles. */
export const rackedGrid = (cell: Cell): Float64Array =>
  canRack(cell)
    ? onWalls(cell, "turn", (normal) => (Math.abs(Math.cos(normal)) > 0.5 ? 1 : -1))
    : noErrors(cell);

/** Whether a grid can rack: its strips cross at right angles. A three-way grid cannot. */
export const canRack = ({ walls }: Pick<Arrangement, "walls">): boolean =>
  walls.every(({ normal }) => Math.abs(Math.sin(2 * normal)) < 1e-9);

/** Change of each elementary error when every wall stands 1 mm further into the opening. None on a bench. */
export const smallOpening = (cell: Cell): Float64Array => onWalls(cell, "offset", () => 1);

function onWalls(cell: Cell, kind: "turn" | "offset", size: (normal: number) => number): Float64Array {
  const direction = noErrors(cell);
  const { indexOf } = errorLayout(cell);
  for (const { name, normal } of cell.walls) {
    if (name.startsWith(GRID_WALL)) direction[indexOf(kind, name)] = size(normal);
  }
  return direction;
}
