import { at, entryOf } from "../../core/numeric/dense.js";
import { symmetricInverse } from "../../core/numeric/linear-algebra.js";
import { createStream, type RandomStream } from "../../core/numeric/random-stream.js";
import { CellDrawer, type CellDraws } from "../../inference/forecast/cell-drawer.js";
import { forecastSources, type SourceGroup } from "../../inference/forecast/forecast-sources.js";
import { jobPosterior, type KnownSources, withScatters } from "../../inference/job-posterior.js";
import type { Cell } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import type { Job } from "../../model/job/job.js";
import { BATCH_THICKNESS, sameSource } from "../../model/source-id.js";
import type { TrialInputs } from "../../physics/kernel/trial-record.js";
import { cellWalls, GridErrors, mirrored, openingError, toOwnAxes } from "./grid-errors.js";
import { type GridShape, type GridSpreads, gridShape, type PanelWay } from "./grid-shape.js";
import { type Swappable, sortPieces, swappablePieces } from "./sort-pieces.js";
import { sideError, ThreeWayErrors, toTriangleAxes, triangleWalls } from "./three-way-errors.js";

/** Sources that are held steady: draws of the pieces, whose errors then have their expected values, and parts of the grid. */
export interface SteadyParts {
  readonly draws: ReadonlySet<number>;
  readonly grid: ReadonlySet<keyof GridSpreads>;
}

export const NOTHING_STEADY: SteadyParts = { draws: new Set(), grid: new Set() };

/** Draws whole panels: shared errors and the grid once for each panel, and everything else anew for each cell. */
export class PanelDrawer {
  readonly cells: number;
  /** Draws of the panel's cells, row by row from the top, row-major (cell, draw); overwritten by the next panel. */
  readonly drawn: Float64Array;
  readonly grid: PanelGrid["errors"];
  readonly #grid: PanelGrid;
  readonly #sources: PanelSources;
  readonly #way: PanelWay;
  readonly #spreads: GridSpreads;
  readonly #steady: SteadyParts;
  readonly #swappable: readonly Swappable[];
  readonly #walls: Float64Array;
  readonly #opening: Float64Array;
  readonly #drawer: CellDrawer;
  /** Regression coefficients of the other shared draws on the steady ones, if they are correlated. */
  readonly #ties: readonly Tie[];

  /** Normals of one cell's own draws. */
  readonly #fresh: Float64Array;

  constructor(sources: PanelSources, way: PanelWay, steady: SteadyParts = NOTHING_STEADY) {
    const { shape, inputs, cell, own } = sources;
    this.cells = shape.panel.rows * shape.panel.columns;
    this.drawn = new Float64Array(this.cells * inputs.draws);
    this.#grid = panelGrid(shape);
    this.grid = this.#grid.errors;
    this.#walls = new Float64Array(2 * shape.walls.length);
    this.#sources = sources;
    this.#way = way;
    this.#steady = steady;
    this.#spreads = Object.fromEntries(
      Object.entries(sources.spreads).map(([part, spread]) => [
        part,
        steady.grid.has(part as keyof GridSpreads) ? 0 : spread,
      ]),
    ) as unknown as GridSpreads;
    this.#swappable = way === "sorted" ? swappablePieces(cell, inputs, own) : [];
    this.#opening = new Float64Array(this.cells);
    this.#fresh = new Float64Array(own.length);
    this.#drawer = new CellDrawer(sources.draws);
    this.#ties = tiesOf(sources.draws, steady.draws);
  }

  /**
   * Draws the next panel from a stream: two drawers at the same position of a stream make the same draws, except for what is held steady and for the assignment of pieces to cells.
   *
   * @param panel its index, from 0: panels are drawn from the shops in turn, if their number is limited.
   */
  draw(stream: RandomStream, panel: number): void {
    const { shared, own, inputs, batchDraw, batchMean } = this.#sources;
    const { drawn } = this;
    const width = inputs.draws;
    this.#drawer.drawShop(stream, panel, drawn);
    for (const { draw, by } of this.#ties)
      for (const [k, slope] of by) drawn[k] = at(drawn, k) - slope * at(drawn, draw);
    const batch = stream.normal();
    this.grid.draw(stream, this.#spreads, batchDraw < 0 ? batch : batchMean + at(drawn, batchDraw));
    for (let cell = 0; cell < this.cells; cell++) {
      const from = cell * width;
      if (cell > 0) for (const k of shared) drawn[from + k] = at(drawn, k);
      stream.fill(this.#fresh);
      // Indices within bounds by construction: this runs for every cell of every panel.
      for (let i = 0; i < own.length; i++) drawn[from + own[i]!] = this.#fresh[i]!;
      this.#drawer.scale(panel, drawn, from);
      this.#writeWalls(cell);
    }
    for (const k of this.#steady.draws)
      for (let cell = 0; cell < this.cells; cell++) drawn[cell * width + k] = 0;
    if (this.#way === "sorted") {
      const { measured } = this.#sources.shape.panel;
      const options = { groups: this.#swappable, width, cells: this.cells, measured };
      sortPieces(options, drawn, this.#opening, stream);
    }
  }

  #writeWalls(cell: number): void {
    const { shape, inputs, walls: at } = this.#sources;
    const { columns } = shape.panel;
    this.#opening[cell] = this.#grid.cell(Math.floor(cell / columns), cell % columns, this.#walls);
    this.drawn.set(this.#walls, cell * inputs.draws + at);
  }
}

/** The share of a steady draw that is subtracted from each other draw correlated with it. */
interface Tie {
  readonly draw: number;
  readonly by: readonly (readonly [other: number, slope: number])[];
}

/** A source fixed at its expected value shifts the sources correlated with it to their conditional means (of a normal distribution). */
function tiesOf({ correlation, shared }: CellDraws, steady: ReadonlySet<number>): Tie[] {
  const still = [...steady].filter((k) => k < shared);
  if (correlation === null || still.length === 0) return [];
  const among = Float64Array.from({ length: still.length ** 2 }, (_, i) =>
    entryOf(correlation, at(still, Math.floor(i / still.length)), at(still, i % still.length), shared),
  );
  const inverse = symmetricInverse(among, still.length);
  const others = Array.from({ length: shared }, (_, k) => k).filter((k) => !steady.has(k));
  return still.map((draw, i) => ({
    draw,
    by: others.map((other) => {
      const slope = still.reduce(
        (sum, k, j) => sum + entryOf(correlation, other, k, shared) * entryOf(inverse, j, i, still.length),
        0,
      );
      return [other, slope] as const;
    }),
  }));
}

/** A grid that can be drawn, and its effect on the cells. */
interface PanelGrid {
  readonly errors: GridErrors | ThreeWayErrors;
  /**
   * Writes each wall's turn (rad) and offset (mm, into the opening +) of a cell, in the cell's own axes and orientation in the pattern.
   *
   * @param row counted from the top, 0 first; `column` from the left.
   * @returns how much larger than nominal its opening is, mm: for a rectangle the mean over width and height, for a triangle the side.
   */
  readonly cell: (row: number, column: number, out: Float64Array) => number;
}

function panelGrid(shape: GridShape): PanelGrid {
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

/** Parts of the grid that are reported together, by name. */
export const GRID_PARTS = {
  "places of the laps": ["place"],
  "play in the laps": ["play"],
  "thickness of the grid's batch": ["batch"],
  "thickness of the grid's strips": ["thickness"],
  "racked grid": ["racked"],
  "turned border": ["borderTurn"],
} as const satisfies Readonly<Record<string, readonly (keyof GridSpreads)[]>>;

/** The sources of the errors of a panel's cells: a cell's draws are those shared by the whole panel, its own, and finally its walls. */
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
  /** Index of the first of the walls' draws. */
  readonly walls: number;
  readonly spreads: GridSpreads;
  /** Index of the draw of the batch that the grid's strips come from, −1 if the grid has its own stock; and the mean of that batch's thickness in its standard deviations. */
  readonly batchDraw: number;
  readonly batchMean: number;
  readonly draws: CellDraws;
}

/**
 * The sources of a job's panel.
 *
 * @param known posterior of the job's sources; default: the prior that the job states, without readings.
 * @throws UserError (code "panel") when the job has no panel, or cells that are neither rectangles nor equilateral triangles.
 */
export function panelSources(stated: Job, known: KnownSources = jobPosterior(stated, [])): PanelSources {
  const job = withScatters(stated, known);
  const shape = gridShape(job);
  const { panel } = shape;
  // The panel's grid replaces the job's statement about the walls of a single cell.
  const pieces = forecastSources({ ...stated, grid: { offset: 0, turn: 0 } }, known);
  const { cell, groups } = pieces;
  const batch = groups.find(({ id }) => sameSource(id, BATCH_THICKNESS));
  const same = panel.gridStock === "same" && batch !== undefined;
  const [stock] = same ? batch.spread : [];
  return {
    shape,
    cell,
    groups,
    inputs: withWalls(cell, pieces.inputs, shape.walls),
    shared: groups.flatMap(({ shared, draws }) => (shared ? draws : [])),
    own: groups.flatMap(({ shared, draws }) => (shared ? [] : draws)),
    walls: pieces.inputs.draws,
    spreads: {
      place: panel.laps.place,
      play: 1,
      batch: stock?.deviation ?? job.batchThickness,
      thickness: job.betweenCutSd.thickness,
      racked: panel.racked,
      borderTurn: panel.border.turn,
      borderBatch: job.batchThickness,
      borderThickness: job.betweenCutSd.thickness,
    },
    batchDraw: same ? at(batch.draws, 0) : -1,
    batchMean: stock ? stock.mean / stock.deviation : 0,
    draws: pieces.draws,
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

/** Scatter of the walls of a panel's cells: root mean squares over all cells of many grids, with each cell's axes in its own centre. */
export interface WallSpread {
  /** Offset (mm) and turn (rad): the equivalent of `grid` for a single cell. */
  readonly offset: number;
  readonly turn: number;
  /** Standard deviation of an opening's size, mm: for a rectangle the mean of width and height, for a triangle the side. */
  readonly opening: number;
}

const CELLS = 20_000;

export function wallSpread(job: Job, seed: number): WallSpread {
  const { shape, spreads } = panelSources(job);
  const { rows, columns } = shape.panel;
  const grid = panelGrid(shape);
  const numbers = 2 * shape.walls.length;
  const stream = createStream(seed);
  const walls = new Float64Array(numbers);
  const grids = Math.max(1, Math.ceil(CELLS / (rows * columns)));
  let [offset, turn, opening] = [0, 0, 0];
  for (let k = 0; k < grids; k++) {
    grid.errors.draw(stream, spreads, stream.normal());
    for (let row = 0; row < rows; row++)
      for (let column = 0; column < columns; column++) {
        opening += grid.cell(row, column, walls) ** 2;
        for (let at = 0; at < numbers; at += 2) {
          turn += (2 * walls[at]! ** 2) / numbers;
          offset += (2 * walls[at + 1]! ** 2) / numbers;
        }
      }
  }
  const cells = grids * rows * columns;
  const root = (sum: number): number => Math.sqrt(sum / cells);
  return { offset: root(offset), turn: root(turn), opening: root(opening) };
}
