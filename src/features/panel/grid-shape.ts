import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import type { RandomStream } from "../../core/numeric/random-stream.js";
import { openingShape } from "../../model/cell/opening-shape.js";
import { type ThreeWayGrid, threeWayGrid } from "../../model/cell/three-way-grid.js";
import type { Job } from "../../model/job/job.js";
import type { Panel, PanelLaps } from "../../model/job/panel.js";

/** Positions of the strips and cells in one direction at nominal size, mm, measured from the inner face of the first border member. */
export interface GridAxis {
  /** Number of cells in this direction. */
  readonly cells: number;
  /** Middles of the border's first member, of each strip, and of the border's last member, mm. */
  readonly strips: readonly number[];
  /** Middle of each cell, mm. */
  readonly middles: readonly number[];
  /** From border to border, mm. */
  readonly clear: number;
}

/** Data common to panels with either kind of grid, at nominal size. */
export interface PanelShape {
  readonly panel: Panel;
  /** Clear width and height of one cell, mm. */
  readonly opening: { readonly width: number; readonly height: number };
  /** Thickness of a strip, mm. */
  readonly strip: number;
  /** Names of a cell's walls in the order in which their numbers are written. */
  readonly walls: readonly string[];
  /** Number of laps along a member of the border, to the member at its end. */
  readonly laps: { readonly across: number; readonly down: number };
  /** Outer size, mm. */
  readonly width: number;
  readonly height: number;
}

/** Upright and level strips: cells are rectangles. */
export interface UprightShape extends PanelShape {
  readonly kind: "upright";
  /** Columns from the left: upright strips and cells. */
  readonly across: GridAxis;
  /** Rows from the top: level strips and cells. */
  readonly down: GridAxis;
}

/** Strips in three directions: cells are triangles, every second one standing on its point. */
export interface ThreeWayShape extends PanelShape {
  readonly kind: "three-way";
  /** @internal */
  readonly grid: ThreeWayGrid;
}

/** A panel at nominal size. */
export type GridShape = UprightShape | ThreeWayShape;

/** @throws UserError (code "panel") when the job has no panel, or its cells are neither rectangles nor equilateral triangles. */
export function gridShape({
  panel,
  arrangement,
  strip,
}: Pick<Job, "panel" | "arrangement" | "strip">): GridShape {
  if (panel === null)
    throw new UserError(
      "panel",
      "The job has no panel; a panel has rows and columns. Write into its file, for example: panel: { rows: 3, columns: 4 }",
      { key: ["panel"] },
    );
  const { rows, columns, border } = panel;
  const cell = openingShape(arrangement.walls);
  const outer = (clear: number): number => clear + 2 * border.thickness;
  if (cell?.kind === "triangular") {
    const grid = threeWayGrid(rows, columns, cell.side, strip);
    return {
      // Such cells have only one orientation and such a grid cannot rack, even if a panel that does not come from a job file states otherwise.
      kind: "three-way",
      panel: { ...panel, diagonals: null, racked: 0 },
      strip,
      grid,
      walls: cell.walls,
      opening: { width: cell.side, height: (cell.side * Math.sqrt(3)) / 2 },
      laps: { across: Math.ceil((columns + 1) / 2), down: rows },
      width: outer(grid.clear.width),
      height: outer(grid.clear.height),
    };
  }
  if (cell?.kind === "upright") {
    const across = axis(columns, cell.width, strip, border.thickness);
    const down = axis(rows, cell.height, strip, border.thickness);
    return {
      kind: "upright",
      panel,
      strip,
      across,
      down,
      walls: cell.walls,
      opening: { width: cell.width, height: cell.height },
      laps: { across: columns, down: rows },
      width: outer(across.clear),
      height: outer(down.clear),
    };
  }
  throw new UserError(
    "panel",
    `A panel of ${arrangement.name} cannot be worked out: straight strips that cross leave rectangles with upright and level walls, or equilateral triangles with one level wall; its cells have ${arrangement.walls.length} walls that lie otherwise (${arrangement.walls.map(({ name }) => name).join(", ")}). Write another pattern, or turn this one so that one wall is level.`,
    { key: ["pattern"] },
  );
}

function axis(cells: number, opening: number, strip: number, border: number): GridAxis {
  const pitch = opening + strip;
  const clear = cells * opening + (cells - 1) * strip;
  const inner = Array.from({ length: cells - 1 }, (_, k) => (k + 1) * pitch - strip / 2);
  return {
    cells,
    clear,
    strips: [-border / 2, ...inner, clear + border / 2],
    middles: Array.from({ length: cells }, (_, k) => k * pitch + opening / 2),
  };
}

/** Standard deviations of the grid's parts, mm and rad; a part with 0 is perfect. */
export interface GridSpreads {
  /** Of a lap's position, mm. */
  readonly place: number;
  /** Share of the play in a lap within which a strip may lie: 1, or 0 for a strip in the middle of every lap. */
  readonly play: number;
  /** Of the thickness of the batch of the grid's strips, and of each strip within the batch, mm. */
  readonly batch: number;
  readonly thickness: number;
  /** Of the deviation of the corners from a right angle, rad. */
  readonly racked: number;
  /** Of each border member's turn relative to the grid, rad. */
  readonly borderTurn: number;
  /** Of the thickness of the batch of the border's stock, and of each member within the batch, mm: it affects only the outer size. */
  readonly borderBatch: number;
  readonly borderThickness: number;
}

/** How laps are placed, and the standard deviation of one position, mm. */
export type Places = Pick<PanelLaps, "way" | "place">;

/**
 * Covariance of the positions of two laps of one strip, mm². Lap 0 is the start of the strip and has no error.
 * Against a stop: σ² for a lap with itself, otherwise 0. Indexed from the previous lap: σ²·min(k, l), a random walk.
 *
 * @example
 * placeCovariance({ way: "indexed", place: 0.03 }, 4, 9) // 0.0036
 */
export function placeCovariance({ way, place }: Places, k: number, l: number): number {
  if (k === 0 || l === 0) return 0;
  if (way === "indexed") return place ** 2 * Math.min(k, l);
  return k === l ? place ** 2 : 0;
}

/**
 * Covariance of the pitches from lap c to c + 1 and from lap d to d + 1, mm².
 * Against a stop: 2σ² for a pitch with itself (σ² for the first), −σ² with its neighbour, otherwise 0. Indexed: σ² with itself, otherwise 0.
 *
 * @example
 * pitchCovariance({ way: "stop", place: 1 }, 2, 3) // -1
 */
export function pitchCovariance(laps: Places, c: number, d: number): number {
  const between = (k: number, l: number): number => placeCovariance(laps, k, l);
  return between(c + 1, d + 1) - between(c + 1, d) - between(c, d + 1) + between(c, d);
}

/**
 * Standard deviation of the length from the start of a strip to its lap n, mm: σ against a stop, σ√n indexed.
 *
 * @example
 * lengthDeviation({ way: "indexed", place: 0.03 }, 9) // 0.09
 */
export const lengthDeviation = (laps: Places, n: number): number => Math.sqrt(placeCovariance(laps, n, n));

/** Draws the position errors of laps 1 … n of one strip, mm, into `out` after its start at `from`. */
export function drawPlaces(
  stream: RandomStream,
  { way, place }: Places,
  out: Float64Array,
  from: number,
  n: number,
): void {
  for (let lap = 1; lap <= n; lap++) {
    const error = place * stream.normal();
    out[from + lap] = way === "indexed" ? at(out, from + lap - 1) + error : error;
  }
}

/**
 * How pieces get their lengths and are assigned to cells: all cut at the stops and used as they come; cut at the stops, measured, and the longest put
 * into the largest openings; each trimmed by trial until it just goes in.
 */
export const PANEL_WAYS = ["as-cut", "sorted", "fitted"] as const;
/** How the pieces of a panel are made: one of {@link PANEL_WAYS}. */
export type PanelWay = (typeof PANEL_WAYS)[number];
