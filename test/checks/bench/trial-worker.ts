import { parentPort, workerData } from "node:worker_threads";
import { createKernel } from "../../../src/physics/kernel/seating-kernel.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { claimFrom, type SharedTask, tallyTrials } from "./run-trials.js";

/** A further thread of `runTrials`: works on blocks that no other has claimed and sends its tally, or the message of what went wrong. */
const { cell, kernel, trials, seed, limits, next, values } = workerData as SharedTask;
try {
  const own = createKernel(cellModel(cell), kernel);
  const options = { trials, seed, claim: claimFrom(next) };
  parentPort!.postMessage({ tally: tallyTrials(own, options, limits, values) });
} catch (error) {
  parentPort!.postMessage({ failure: error instanceof Error ? error.message : String(error) });
}
