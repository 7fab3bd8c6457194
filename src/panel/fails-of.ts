import type { SteadyParts } from "./draw-panel.js";
import { PanelTally, panelBlocks, panelRows, ROW } from "./panel-tally.js";
import type { ReadyPanel } from "./panel-task.js";

/**
 * Cells that do not close, of each of a task's panels, on this thread alone.
 *
 * @throws SeatingError when a cell finds no rest.
 */
export function failsOf(ready: ReadyPanel, steady?: SteadyParts): Float64Array {
  const { task } = ready;
  const rows = panelRows(task);
  const tally = new PanelTally(ready, steady);
  const blocks = panelBlocks(task.panels, tally.places.fails.length);
  for (let block = 0; block < blocks; block++) tally.work(block, rows);
  return Float64Array.from({ length: task.panels }, (_, k) => rows[k * ROW.numbers + ROW.fails]!);
}
