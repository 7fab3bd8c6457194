import { DEGREE } from "../../core/geometry.js";

/** How the laps of a strip are placed: each against a fixed stop, or each indexed from the previous lap. */
export const LAP_WAYS = ["stop", "indexed"] as const;
/** How neighbouring cells are oriented: every second one mirrored, so that diagonals meet in stars, or all alike. */
export const CELL_TURNS = ["alternate", "parallel"] as const;
/** Whether the grid's strips come from the batch that the pieces come from. */
export const GRID_STOCKS = ["same", "own"] as const;

/** The laps of a grid, half-laps or a three-way grid's of three layers; lengths in mm. */
export interface PanelLaps {
  readonly way: (typeof LAP_WAYS)[number];
  /** Whether each lap is cut through all strips of a direction at once, so that its error is the same in all of them. */
  readonly bundled: boolean;
  /** Standard deviation of one lap's position: from the stop, or from the previous lap. */
  readonly place: number;
  /** Width of a finished lap, mm. Its excess over the strip's thickness is play. */
  readonly width: number;
  /** Nominal depth of a lap, mm; `null`: half the strip's depth. In a three-way grid: thickness of one of the three layers; `null`: a third of the strip's depth. */
  readonly depth: number | null;
  /** Standard deviation of a lap's depth. */
  readonly depthSd: number;
}

/** The members around the grid. */
export interface PanelBorder {
  /** Thickness as seen from the face, mm. */
  readonly thickness: number;
  /** Standard deviation of each member's rotation about its middle relative to the grid, rad. */
  readonly turn: number;
}

/** The opening of the frame that the panel goes into, mm. */
export interface PanelFrame {
  readonly width: number;
  readonly height: number;
  /** Largest play allowed between panel and frame in each direction, mm. */
  readonly play: number;
}

/** A panel of equal cells between crossing strips: rows counted from the top, columns from the left. Openings and strips are the job's. In a three-way grid a row's columns are its whole triangles; the half triangles at its two ends are extra. */
export interface Panel {
  /** Number of cells in each direction. */
  readonly rows: number;
  readonly columns: number;
  /** `null` in a three-way grid, where every second cell stands on its point. */
  readonly diagonals: (typeof CELL_TURNS)[number] | null;
  readonly border: PanelBorder;
  readonly laps: PanelLaps;
  readonly gridStock: (typeof GRID_STOCKS)[number];
  /** Standard deviation of the corners of the assembled panel about a right angle, rad; 0 in a three-way grid, which cannot rack. */
  readonly racked: number;
  /** Standard deviations of the measurements of pieces and openings when pieces are sorted into cells, mm. */
  readonly measured: { readonly pieces: number; readonly openings: number };
  readonly frame: PanelFrame | null;
}

/** Largest numbers of rows or columns and of cells. */
export const MOST_PANEL_SIDE = 100;
export const MOST_PANEL_CELLS = 2500;

/** Defaults for what the job file leaves out; mm and rad. Common practice, no source. */
export const PANEL_DEFAULTS = {
  lapPlace: 0.03,
  lapDepthSd: 0.05,
  borderTurn: 0.01 * DEGREE,
  racked: 0.05 * DEGREE,
  measuredPieces: 0.01,
  measuredOpenings: 0.02,
} as const;
