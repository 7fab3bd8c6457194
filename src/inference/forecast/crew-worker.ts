import { parentPort, workerData } from "node:worker_threads";
import { createSeater } from "../../physics/kernel/fitted-kernel.js";
import { cellModel } from "../../physics/predict/cell-model.js";
import type { CrewAnswer, CrewOrder, CrewTask } from "./crew.js";
import { type BlockRow, BlockTally } from "./tally-blocks.js";

/** A further thread of a crew: works on blocks that no other has claimed, and at the end tells what it has counted. */
const { cell, kernel, limits, trials, seed, next } = workerData as CrewTask;
const tally = new BlockTally(createSeater(cellModel(cell), kernel), limits, trials, seed);

function answer({ until }: CrewOrder): CrewAnswer {
  if (until === null) return { counts: tally.counts };
  const rows: BlockRow[] = [];
  for (let index = claim(); index < until; index = claim()) rows.push(tally.work(index));
  return { rows };
}

const claim = (): number => Atomics.add(next, 0, 1);

parentPort!.on("message", (order: CrewOrder) => {
  try {
    parentPort!.postMessage(answer(order));
  } catch (error) {
    Atomics.store(next, 0, order.until ?? 0);
    parentPort!.postMessage({ failure: error instanceof Error ? error.message : String(error) });
  }
});
