import { parentPort, workerData } from "node:worker_threads";
import { type CrewAnswer, type CrewTask, claim, PanelTally, panelBlocks, readyPanel } from "./panel-tally.js";

/** A further thread of `simulatePanels`: works on blocks that no other has claimed, and at the end tells what it has counted. */
const { task, rows, next } = workerData as CrewTask;

function answer(): CrewAnswer {
  try {
    const tally = new PanelTally(readyPanel(task));
    const blocks = panelBlocks(task.panels, tally.places.fails.length);
    for (let block = claim(next); block < blocks; block = claim(next)) tally.work(block, rows);
    return { counted: { places: tally.places, unfitted: tally.unfitted } };
  } catch (error) {
    return { failure: error instanceof Error ? error.message : String(error) };
  }
}

parentPort!.postMessage(answer());
