import { availableParallelism, loadavg } from "node:os";
import { Worker } from "node:worker_threads";
import { cell, inputs } from "./bench-case.js";
import { type BenchLine, lineOf, median, skippedLine } from "./bench-line.js";
import { runTrials } from "./trials/run-trials.js";

const TRIALS = 2_000_000;
/** Two plain loops must run at this share of the speed of one alone for two cores to count as free. */
const FREE = 0.9;

const options = { seed: 1, limits: { gap: 0.1, press: 0.02 }, inputs };

/** How much faster two threads are than one, and whether a second core was free to tell. */
export async function threadLine(repeats: number): Promise<BenchLine> {
  const name = `two threads / one, ${TRIALS} trials, first order`;
  const cores = availableParallelism();
  if (cores < 2) return skippedLine(name, "one core");
  const times: Record<number, number[]> = { 1: [], 2: [] };
  const spent: Record<number, number[]> = { 1: [], 2: [] };
  const freedom: number[] = [];
  for (let repeat = 0; repeat < repeats; repeat++) {
    freedom.push(await secondCore());
    for (const threads of [1, 2]) {
      const start = performance.now();
      const before = process.cpuUsage();
      await runTrials(cell, { ...options, trials: TRIALS, threads });
      times[threads]!.push(performance.now() - start);
      const { user, system } = process.cpuUsage(before);
      spent[threads]!.push(user + system);
    }
  }
  const speedUps = times[1]!.map((one, k) => one / times[2]![k]!);
  const free = median(freedom);
  const percent = (share: number): string => `${(100 * share).toFixed(0)} %`;
  const extra = median(spent[2]!) / median(spent[1]!) - 1;
  const note =
    `${cores} cores; two threads take ${percent(extra)} more processor time; ` +
    `two plain loops at once ran at ${percent(free)} of the speed of one; load ${loadavg()[0]!.toFixed(1)}`;
  const line = lineOf(name, speedUps, 1.6, "at least", (median(times[2]!) * 1e6) / TRIALS, note);
  return free >= FREE || line.met ? line : { ...line, met: null, note: `${note}: no second core was free` };
}

const LOOP = `
const { parentPort } = require("node:worker_threads");
parentPort.on("message", () => {
  const start = performance.now();
  let x = 1;
  for (let k = 0; k < 3e8; k++) x = (x * 1103515245 + 12345) & 0x7fffffff;
  parentPort.postMessage({ spent: performance.now() - start, x });
});
`;

/** Speed of two plain loops at once, as a share of that of one alone. */
async function secondCore(): Promise<number> {
  const workers = [1, 2].map(() => new Worker(LOOP, { eval: true }));
  const spent = (worker: Worker): Promise<number> =>
    new Promise((resolve, reject) => {
      worker.once("error", reject);
      worker.once("message", (answer: { spent: number }) => resolve(answer.spent));
      worker.postMessage("go");
    });
  try {
    await Promise.all(workers.map(spent));
    const alone = await spent(workers[0]!);
    const together = await Promise.all(workers.map(spent));
    return alone / Math.max(...together);
  } finally {
    await Promise.all(workers.map((worker) => worker.terminate()));
  }
}
