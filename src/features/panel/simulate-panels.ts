import { WorkerPool } from "../../core/threads/worker-pool.js";
import {
  type PanelTask,
  type PlaceCounts,
  panelBlocks,
  panelRows,
  panelsInBlock,
  panelWork,
} from "./panel-tally.js";

/** The simulated panels. */
export interface SimulatedPanels {
  /** Their number: the first panels of those requested. */
  readonly panels: number;
  /** A row of `ROW` for each, in their order. */
  readonly rows: Float64Array;
  readonly places: PlaceCounts;
  /** Number of groups of pieces that could not be fitted by trial; they keep the length at which the search ended. */
  readonly unfitted: number;
}

/**
 * Simulates panels on a worker pool. Each panel has its own row and its own random numbers, and only integers are summed, so the results do not depend on which thread
 * did what.
 *
 * @param stopped called after each block; if it returns true, blocks already started are finished and the rest are left out.
 * @param onBlock called with the number of blocks started.
 */
export async function simulatePanels(
  task: PanelTask,
  cells: number,
  threads: number,
  stopped: () => boolean,
  onBlock: (begun: number, blocks: number) => void,
): Promise<SimulatedPanels> {
  const blocks = panelBlocks(task.panels, cells);
  const rows = panelRows(task);
  const pool = new WorkerPool(
    {
      start: panelWork,
      module: new URL("./panel-tally.js", import.meta.url),
      task: { task, rows },
    },
    { threads },
  );
  try {
    await pool.work(blocks, (begun) => {
      onBlock(begun, blocks);
      if (stopped()) pool.stop();
    });
    const counted = await pool.totals();
    const sum = (what: keyof PlaceCounts): Float64Array => {
      const total = new Float64Array(cells);
      for (const { places } of counted) for (const [at, count] of places[what].entries()) total[at]! += count;
      return total;
    };
    return {
      panels: Math.min(task.panels, pool.rows.length * panelsInBlock(cells)),
      rows,
      places: { fails: sum("fails"), gaps: sum("gaps") },
      unfitted: counted.reduce((total, one) => total + one.unfitted, 0),
    };
  } finally {
    await pool.close();
  }
}
