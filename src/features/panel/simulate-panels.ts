import { Worker } from "node:worker_threads";
import { PanelError } from "./grid-shape.js";
import {
  type CrewAnswer,
  type CrewCounts,
  type CrewTask,
  claim,
  PanelTally,
  type PanelTask,
  type PlaceCounts,
  panelBlocks,
  panelRows,
  panelsInBlock,
  readyPanel,
} from "./panel-tally.js";

/** Panels that were simulated. */
export interface SimulatedPanels {
  /** The first so many of those asked for. */
  readonly panels: number;
  /** A row of `ROW` for each, in their order. */
  readonly rows: Float64Array;
  readonly places: PlaceCounts;
  /** Groups of pieces that could not be fitted by trial, and were left at the end of the search. */
  readonly unfitted: number;
}

/** Panels of a block claimed and of all claimed before it. */
export type OnBlock = (blocksBegun: number, blocks: number) => void;

/**
 * Simulates panels on this thread and `threads − 1` others. Each panel has its own row and its own random numbers, and what is summed up is whole numbers:
 * which thread did what leaves no trace.
 *
 * @param stopped asked after each block: what has been begun is finished, the rest left out.
 * @throws PanelError when a thread fails, SeatingError when a cell finds no rest.
 */
export async function simulatePanels(
  task: PanelTask,
  threads: number,
  stopped: () => boolean,
  onBlock: OnBlock,
): Promise<SimulatedPanels> {
  const tally = new PanelTally(readyPanel(task));
  const cells = tally.places.fails.length;
  const blocks = panelBlocks(task.panels, cells);
  const rows = panelRows(task);
  const next = new Int32Array(new SharedArrayBuffer(Int32Array.BYTES_PER_ELEMENT));
  const others = Promise.all(Array.from({ length: threads - 1 }, () => elsewhere({ task, rows, next })));
  // Awaited below, unless this thread fails first.
  others.catch(() => {});
  let claimed = blocks;
  try {
    for (let block = claim(next); block < blocks; block = claim(next)) {
      tally.work(block, rows);
      onBlock(Math.min(Atomics.load(next, 0), blocks), blocks);
      await new Promise((resolve) => setImmediate(resolve));
      if (stopped()) claimed = Math.min(claimed, Atomics.exchange(next, 0, blocks));
    }
  } catch (error) {
    Atomics.store(next, 0, blocks);
    throw error;
  }
  const counted: CrewCounts[] = [tally, ...(await others)];
  const sum = (what: keyof PlaceCounts): Float64Array =>
    tally.places[what].map((_, at) => counted.reduce((total, { places }) => total + places[what][at]!, 0));
  return {
    panels: Math.min(task.panels, claimed * panelsInBlock(cells)),
    rows,
    places: { fails: sum("fails"), gaps: sum("gaps") },
    unfitted: counted.reduce((total, one) => total + one.unfitted, 0),
  };
}

function elsewhere(workerData: CrewTask): Promise<CrewCounts> {
  const worker = new Worker(new URL("./panel-worker.js", import.meta.url), { workerData });
  return new Promise((resolve, reject) => {
    worker.once("error", reject);
    worker.once("message", ({ counted, failure }: CrewAnswer) => {
      if (counted) resolve(counted);
      else reject(new PanelError(failure ?? "A thread ended without a word."));
    });
  });
}
