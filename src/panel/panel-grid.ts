import { cellWalls, mirrored, openingError, toOwnAxes } from "./cell-walls.js";
import { GridErrors } from "./grid-errors.js";
import type { GridShape } from "./grid-shape.js";
import { ThreeWayErrors } from "./three-way-errors.js";
import { sideError, toTriangleAxes, triangleWalls } from "./triangle-walls.js";

/** A grid to be drawn, and what it does to its cells. */
export interface PanelGrid {
  readonly errors: GridErrors | ThreeWayErrors;
  /**
   * Writes each wall's turn (rad) and offset (mm, into the opening +) of a cell, in axes of its own and as the pattern has it laid.
   *
   * @param row counted from the top, 0 first; `column` from the left.
   * @returns how much larger than nominal its opening is, mm: a rectangle's width and height, halved; a triangle's side.
   */
  readonly cell: (row: number, column: number, out: Float64Array) => number;
}

export function panelGrid(shape: GridShape): PanelGrid {
  if (shape.kind === "three-way") {
    const errors = new ThreeWayErrors(shape);
    return {
      errors,
      cell: (row, column, out) => {
        triangleWalls(errors, row, column, out);
        toTriangleAxes(out);
        return sideError(out);
      },
    };
  }
  const errors = new GridErrors(shape);
  const alternate = shape.panel.diagonals === "alternate";
  return {
    errors,
    cell: (row, column, out) => {
      cellWalls(errors, row, column, out);
      const opening = openingError(out);
      toOwnAxes(out);
      if (alternate && (row + column) % 2 === 1) mirrored(out);
      return opening;
    },
  };
}
