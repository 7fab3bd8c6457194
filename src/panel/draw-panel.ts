import type { RandomStream } from "../numeric/random-stream.js";
import type { GridSpreads } from "./grid-spreads.js";
import { type PanelGrid, panelGrid } from "./panel-grid.js";
import type { PanelSources } from "./panel-sources.js";
import type { PanelWay } from "./panel-ways.js";
import { type Swappable, sortPieces, swappablePieces } from "./sort-pieces.js";

/** Sources that do not vary: draws of the pieces, whose errors then stand where they are expected, and parts of the grid. */
export interface SteadyParts {
  readonly draws: ReadonlySet<number>;
  readonly grid: ReadonlySet<keyof GridSpreads>;
}

export const NOTHING_STEADY: SteadyParts = { draws: new Set(), grid: new Set() };

/** Draws whole panels: what all cells share once for each panel, the grid once, and the rest anew for each cell. */
export class PanelDrawer {
  readonly cells: number;
  /** Draws of the panel's cells, row by row from the top, row-major (cell, draw); written over by the next panel. */
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
  }

  /** Draws the next panel from a stream: two drawers at the same place of a stream draw alike but for what is steady, and for who gets which piece. */
  draw(stream: RandomStream): void {
    const { shared, own, inputs, batchDraw } = this.#sources;
    const { drawn } = this;
    const width = inputs.draws;
    for (const k of shared) drawn[k] = stream.normal();
    const batch = stream.normal();
    this.grid.draw(stream, this.#spreads, batchDraw < 0 ? batch : drawn[batchDraw]!);
    for (let cell = 0; cell < this.cells; cell++) {
      const from = cell * width;
      if (cell > 0) for (const k of shared) drawn[from + k] = drawn[k]!;
      for (const k of own) drawn[from + k] = stream.normal();
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
