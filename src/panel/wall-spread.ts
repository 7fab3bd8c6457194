import type { Job } from "../job/job.js";
import { createStream } from "../numeric/random-stream.js";
import { panelGrid } from "./panel-grid.js";
import { panelSources } from "./panel-sources.js";

/** How the walls of a panel's cells spread: root mean squares over all cells of many grids, with the axes of each cell in its own middle. */
export interface WallSpread {
  /** mm, and rad: what `grid` would say of one cell by itself. */
  readonly offset: number;
  readonly turn: number;
  /** Of an opening's size, mm: a rectangle's width and height halved, a triangle's side. */
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
