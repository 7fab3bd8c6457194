import type { Job } from "../job/job.js";
import { createStream } from "../numeric/random-stream.js";
import { cellWalls, openingError, toOwnAxes, WALL_NUMBERS } from "./cell-walls.js";
import { GridErrors } from "./grid-errors.js";
import { panelSources } from "./panel-sources.js";

/** How the walls of a panel's cells spread: root mean squares over all cells of many grids, with the axes of each cell in its own middle. */
export interface WallSpread {
  /** mm, and rad: what `grid` would say of one cell by itself. */
  readonly offset: number;
  readonly turn: number;
  /** Of an opening's size, width and height halved, mm. */
  readonly opening: number;
}

const CELLS = 20_000;

export function wallSpread(job: Job, seed: number): WallSpread {
  const { shape, spreads } = panelSources(job);
  const { rows, columns } = shape.panel;
  const grid = new GridErrors(shape);
  const stream = createStream(seed);
  const walls = new Float64Array(WALL_NUMBERS);
  const grids = Math.max(1, Math.ceil(CELLS / (rows * columns)));
  let [offset, turn, opening] = [0, 0, 0];
  for (let k = 0; k < grids; k++) {
    grid.draw(stream, spreads, stream.normal());
    for (let row = 0; row < rows; row++)
      for (let column = 0; column < columns; column++) {
        cellWalls(grid, row, column, walls);
        toOwnAxes(walls);
        opening += openingError(walls) ** 2;
        for (let at = 0; at < WALL_NUMBERS; at += 2) {
          turn += walls[at]! ** 2 / 4;
          offset += walls[at + 1]! ** 2 / 4;
        }
      }
  }
  const cells = grids * rows * columns;
  const root = (sum: number): number => Math.sqrt(sum / cells);
  return { offset: root(offset), turn: root(turn), opening: root(opening) };
}
