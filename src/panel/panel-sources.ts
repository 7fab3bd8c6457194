import { errorLayout } from "../cutting/error-layout.js";
import { THICKNESS_SOURCE } from "../cutting/sources.js";
import type { Job } from "../job/job.js";
import type { TrialInputs } from "../kernel/cell/trial-inputs.js";
import type { Cell } from "../lattice/cell.js";
import { outlookSources, type SourceGroup } from "../outlook/outlook-sources.js";
import { type GridShape, gridShape } from "./grid-shape.js";
import type { GridSpreads } from "./grid-spreads.js";

/** Parts of the grid that are blamed together, by name. */
export const GRID_PARTS = {
  "places of the laps": ["place"],
  "play in the laps": ["play"],
  "thickness of the grid's batch": ["batch"],
  "thickness of the grid's strips": ["thickness"],
  "racked grid": ["racked"],
  "turned border": ["borderTurn"],
} as const satisfies Readonly<Record<string, readonly (keyof GridSpreads)[]>>;

/** How the errors of a panel's cells come about: a cell's draws are those shared by the whole panel, its own, and last its walls. */
export interface PanelSources {
  readonly shape: GridShape;
  readonly cell: Cell;
  /** errors = mean + matrix · draws; shared and own draws are standard normal, the walls' are turns (rad) and offsets (mm) as `PanelGrid.cell` writes them. */
  readonly inputs: TrialInputs;
  /** Sources of the pieces, shared and own; their draws come first among the inputs'. */
  readonly groups: readonly SourceGroup[];
  /** Which draws are the same for all cells of a panel, and which are drawn anew for each. */
  readonly shared: readonly number[];
  readonly own: readonly number[];
  /** First of the walls' draws. */
  readonly walls: number;
  readonly spreads: GridSpreads;
  /** Which draw makes the batch of the grid's strips; −1 when it has a stock of its own. */
  readonly batchDraw: number;
}

/**
 * The sources of a job's panel.
 *
 * @throws PanelError when the job has no panel, or cells that are neither rectangles nor equilateral triangles.
 */
export function panelSources(job: Job): PanelSources {
  const shape = gridShape(job);
  const { panel } = shape;
  // The grid of the panel stands in the place of what the job says of one cell's walls.
  const pieces = outlookSources({ ...job, grid: { offset: 0, turn: 0 } });
  const { cell, groups } = pieces;
  const batch = groups.find(({ name }) => name === THICKNESS_SOURCE);
  const same = panel.gridStock === "same" && batch !== undefined;
  return {
    ...{ shape, cell, groups },
    inputs: withWalls(cell, pieces.inputs, shape.walls),
    shared: groups.flatMap(({ shared, draws }) => (shared ? draws : [])),
    own: groups.flatMap(({ shared, draws }) => (shared ? [] : draws)),
    walls: pieces.inputs.draws,
    spreads: {
      ...{ place: panel.laps.place, play: 1 },
      ...{ batch: job.batchThickness, thickness: job.scatter.thickness },
      ...{ racked: panel.racked, borderTurn: panel.border.turn },
      ...{ borderBatch: job.batchThickness, borderThickness: job.scatter.thickness },
    },
    batchDraw: same ? batch.draws[0]! : -1,
  };
}

/** The inputs with a further draw for each wall's turn and offset. */
function withWalls(cell: Cell, { mean, matrix, draws }: TrialInputs, walls: readonly string[]): TrialInputs {
  const { indexOf } = errorLayout(cell);
  const width = draws + 2 * walls.length;
  const wider = new Float64Array(mean.length * width);
  for (let e = 0; e < mean.length; e++) wider.set(matrix.subarray(e * draws, (e + 1) * draws), e * width);
  for (const [w, wall] of walls.entries()) {
    wider[indexOf("turn", wall) * width + draws + 2 * w] = 1;
    wider[indexOf("offset", wall) * width + draws + 2 * w + 1] = 1;
  }
  return { mean, matrix: wider, draws: width };
}
