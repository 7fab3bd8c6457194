import { errorLayout, noErrors } from "../cutting/error-layout.js";
import type { Cell } from "../lattice/cell.js";

/** How a cell's errors (lay-out of `errorLayout`) answer to the growth of its strips across, per unit of strain. */
export interface SeasonDirections {
  /** Growth of the infill's pieces after they were cut. */
  readonly infill: Float64Array;
  /** Growth of the grid's strips: walls that stand further into the opening. */
  readonly grid: Float64Array;
}

/**
 * What growing across and not along does to pieces that are already cut. A piece is stretched sideways about its middle line: its sides move by dt/2, and a bevel that crossed
 * the axis at jig angle J afterwards lies at tan J' = tan J/(1 + strain), to first order blunter by strain · sin J · cos J, still crossing it at the same place.
 * A wall moves into the opening by half of what its strip grows. No fence has a part in it.
 *
 * @param gridStrip thickness of the grid's strips, mm
 */
export function seasonDirections(cell: Cell, gridStrip = cell.strip): SeasonDirections {
  const layout = errorLayout(cell);
  const infill = noErrors(cell);
  const grid = noErrors(cell);
  for (const { name, cuts } of cell.pieces) {
    infill[layout.indexOf("thickness", name)] = cell.strip;
    for (const { face, jigAngle } of cuts)
      infill[layout.indexOf("angle", name, face)] = -Math.sin(jigAngle) * Math.cos(jigAngle);
  }
  for (const { name } of cell.walls) grid[layout.indexOf("offset", name)] = gridStrip / 2;
  return { infill, grid };
}
