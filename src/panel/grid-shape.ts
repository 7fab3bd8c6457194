import type { Job } from "../job/job.js";
import type { Panel } from "../job/panel.js";
import { openingShape } from "../lattice/opening-shape.js";
import { type ThreeWayGrid, threeWayGrid } from "../lattice/three-way-grid.js";
import { PanelError } from "./panel-error.js";

/** Where the strips and cells of one direction lie at nominal size, mm, counted from the inner face of the first border member. */
export interface GridAxis {
  /** Cells along it. */
  readonly cells: number;
  /** Middles of the border's first member, of each strip, and of the border's last member. */
  readonly strips: readonly number[];
  /** Middle of each cell. */
  readonly middles: readonly number[];
  /** From border to border. */
  readonly clear: number;
}

interface Shape {
  readonly panel: Panel;
  /** Of one cell: clear width and height. */
  readonly opening: { readonly width: number; readonly height: number };
  readonly strip: number;
  /** Names of a cell's walls in the order in which their numbers are written. */
  readonly walls: readonly string[];
  /** Laps along a member of the border, to the member at its end. */
  readonly laps: { readonly across: number; readonly down: number };
  /** Outer size, mm. */
  readonly width: number;
  readonly height: number;
}

/** Upright and level strips: cells are rectangles. */
export interface UprightShape extends Shape {
  readonly kind: "upright";
  /** Columns from the left: upright strips and cells. */
  readonly across: GridAxis;
  /** Rows from the top: level strips and cells. */
  readonly down: GridAxis;
}

/** Strips in three directions: cells are triangles, every second one standing on its point. */
export interface ThreeWayShape extends Shape {
  readonly kind: "three-way";
  readonly grid: ThreeWayGrid;
}

/** A panel at nominal size. */
export type GridShape = UprightShape | ThreeWayShape;

/** @throws PanelError when the job has no panel, or its cells are neither rectangles nor equilateral triangles. */
export function gridShape({
  panel,
  arrangement,
  strip,
}: Pick<Job, "panel" | "arrangement" | "strip">): GridShape {
  if (panel === null)
    throw new PanelError(
      "The job has no panel; a panel has rows and columns. Write into its file, for example: panel: { rows: 3, columns: 4 }",
    );
  const { rows, columns, border } = panel;
  const cell = openingShape(arrangement.walls);
  const outer = (clear: number): number => clear + 2 * border.thickness;
  if (cell?.kind === "triangular") {
    const grid = threeWayGrid(rows, columns, cell.side, strip);
    return {
      // Such cells lie one way only, and such a grid cannot rack, whatever a panel from elsewhere than a job file says.
      ...{ kind: "three-way", panel: { ...panel, diagonals: null, racked: 0 }, strip, grid },
      walls: cell.walls,
      opening: { width: cell.side, height: (cell.side * Math.sqrt(3)) / 2 },
      laps: { across: Math.ceil((columns + 1) / 2), down: rows },
      ...{ width: outer(grid.clear.width), height: outer(grid.clear.height) },
    };
  }
  if (cell?.kind === "upright") {
    const across = axis(columns, cell.width, strip, border.thickness);
    const down = axis(rows, cell.height, strip, border.thickness);
    return {
      ...{ kind: "upright", panel, strip, across, down, walls: cell.walls },
      opening: { width: cell.width, height: cell.height },
      laps: { across: columns, down: rows },
      ...{ width: outer(across.clear), height: outer(down.clear) },
    };
  }
  throw new PanelError(
    `A panel of ${arrangement.name} cannot be reckoned: straight strips that cross leave rectangles with upright and level walls, or equilateral triangles with one level wall; its cells have ${arrangement.walls.length} walls that lie otherwise (${arrangement.walls.map(({ name }) => name).join(", ")}). Write another pattern, or turn this one so that one wall is level.`,
  );
}

function axis(cells: number, opening: number, strip: number, border: number): GridAxis {
  const pitch = opening + strip;
  const clear = cells * opening + (cells - 1) * strip;
  const inner = Array.from({ length: cells - 1 }, (_, k) => (k + 1) * pitch - strip / 2);
  return {
    ...{ cells, clear },
    strips: [-border / 2, ...inner, clear + border / 2],
    middles: Array.from({ length: cells }, (_, k) => k * pitch + opening / 2),
  };
}
