import { availableParallelism, loadavg } from "node:os";
import { Worker } from "node:worker_threads";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { BATCH_TRIALS } from "../../../src/physics/kernel/seating-kernel.js";
import type { CellModel } from "../../../src/physics/predict/cell-model.js";
import { freeGaps, solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { slopesOf } from "../../../src/physics/seating/energy.js";
import { PRESS_RATIO } from "../../../src/physics/seating/seating-model.js";
import {
  type BenchLine,
  benchKernel,
  cell,
  drawnErrors,
  drawnTrials,
  inputs,
  interleave,
  lineOf,
  median,
  model,
  ratios,
  seatDrawn,
  skippedLine,
  type Timed,
  workBatches,
} from "./bench-line.js";
import { runTrials } from "./run-trials.js";

const BATCHES = 100;
const READABLE_TRIALS = 300;
const QUADPROG_TRIALS = 20;

/** First and exact order against their floor, on both engines; the readable solver; the seating as a quadratic programme. */
export async function seatingLines(repeats: number): Promise<BenchLine[]> {
  const quadprog = await loadQuadprog();
  const drawn = drawnTrials(createStream(1), BATCHES * BATCH_TRIALS);
  const tasks: Timed[] = [];
  const add = (name: string, trials: number, run: () => void): void => {
    tasks.push({ name, trials, run });
  };
  for (const engine of ["wasm", "javascript"] as const) {
    const first = benchKernel({ order: "first", engine });
    const exact = benchKernel({ order: "exact", engine });
    if (first.engine !== engine) continue;
    // Every repeat draws the same trials.
    const trials = BATCHES * BATCH_TRIALS;
    add(`${engine} floor`, trials, () => workBatches(first, createStream(1), BATCHES, "floor"));
    add(`${engine} first`, trials, () => workBatches(first, createStream(1), BATCHES, "seat"));
    add(`${engine} exact`, trials, () => workBatches(exact, createStream(1), BATCHES, "seat"));
    add(`${engine} first alone`, trials, () => seatDrawn(first, drawn));
    add(`${engine} exact alone`, trials, () => seatDrawn(exact, drawn));
  }
  const errors = Array.from({ length: READABLE_TRIALS }, (_, k) => drawnErrors(drawn, k));
  for (const order of ["first", "exact"] as const) {
    add(`readable ${order}`, READABLE_TRIALS, () => {
      for (const own of errors) solveEquilibrium(model, own, { order });
    });
  }
  const problem = linearProblem(model);
  if (quadprog) {
    add("quadprog", QUADPROG_TRIALS, () => {
      for (const own of errors.slice(0, QUADPROG_TRIALS)) {
        solveByQuadprog(quadprog, problem, freeGaps(model, own));
      }
    });
  }
  const times = interleave(tasks, repeats);
  const fastest = times.has("wasm first") ? "wasm" : "javascript";
  const line = (
    name: string,
    of: string,
    to: string,
    target: number | null,
    wanted: "at most" | "at least",
  ): BenchLine => {
    const own = times.get(of);
    if (!own) return skippedLine(name, "not on this machine");
    return lineOf(name, ratios(own, times.get(to)!), target, wanted, median(own));
  };
  const floor = `${fastest} floor`;
  const floorTimes = times.get(floor)!;
  const none = lineOf("floor: draw 71 normals, b = E·ε", [1], null, "at most", median(floorTimes));
  return [
    { ...none, spread: null },
    line("first order / floor", `${fastest} first`, floor, 5, "at most"),
    line("exact order / floor", `${fastest} exact`, floor, 20, "at most"),
    line("first order, plain JavaScript / floor", "javascript first", floor, null, "at most"),
    line("exact order, plain JavaScript / floor", "javascript exact", floor, null, "at most"),
    line(
      "readable solver / seating alone, first order",
      "readable first",
      `${fastest} first alone`,
      null,
      "at least",
    ),
    line(
      "readable solver / seating alone, exact order",
      "readable exact",
      `${fastest} exact alone`,
      null,
      "at least",
    ),
    line("quadprog / seating alone, first order", "quadprog", `${fastest} first alone`, 1000, "at least"),
  ];
}

/** The one function of the library that is used; its arrays count from 1. */
type SolveQP = (
  D: number[][],
  d: number[],
  A: number[][],
  b0: number[],
) => { readonly solution: readonly number[]; readonly message: string };

/** `null` where the library, which is for development only, is not installed. */
export async function loadQuadprog(): Promise<SolveQP | null> {
  const name: string = "quadprog";
  try {
    return (await import(name)).solveQP as SolveQP;
  } catch {
    return null;
  }
}

/** First-order seating as plain matrices: gaps = free + slopes·q. */
export interface LinearProblem {
  /** d gap / d pose, row-major (probe, coordinate). */
  readonly slopes: Float64Array;
  readonly weight: Float64Array;
  readonly coordinates: number;
}

export function linearProblem({ seating, nominal }: CellModel): LinearProblem {
  const coordinates = 3 * seating.bodies;
  const slopes = new Float64Array(seating.weight.length * coordinates);
  const own = new Float64Array(6);
  const place = new Int32Array(6);
  for (const i of seating.weight.keys()) {
    const used = slopesOf(seating, nominal.moves, i, own, place);
    for (let k = 0; k < used; k++) slopes[i * coordinates + place[k]!] = own[k]!;
  }
  return { slopes, weight: seating.weight, coordinates };
}

/** Least of ½ Σ w·g² + ½ (K − 1) Σ w·m² under m ≥ −g: k·g² = g² + (K − 1)·max(0, −g)² with the press m as a variable of its own. */
export function solveByQuadprog(
  solveQP: SolveQP,
  { slopes, weight, coordinates: n }: LinearProblem,
  free: Float64Array,
): number[] {
  const probes = free.length;
  const size = n + probes;
  const row = (length: number) => new Array<number>(length + 1).fill(0);
  const D = Array.from({ length: size + 1 }, () => row(size));
  const d = row(size);
  const A = Array.from({ length: size + 1 }, () => row(probes));
  const b0 = row(probes);
  for (let i = 0; i < probes; i++) {
    const w = weight[i]!;
    for (let a = 0; a < n; a++) {
      const slope = slopes[i * n + a]!;
      for (let b = 0; b < n; b++) D[a + 1]![b + 1]! += w * slope * slopes[i * n + b]!;
      d[a + 1]! -= w * slope * free[i]!;
      A[a + 1]![i + 1] = slope;
    }
    D[n + i + 1]![n + i + 1] = (PRESS_RATIO - 1) * w;
    A[n + i + 1]![i + 1] = 1;
    b0[i + 1] = -free[i]!;
  }
  const { solution, message } = solveQP(D, d, A, b0);
  if (message !== "") throw new Error(`The quadratic programme was not solved: ${message}`);
  return Array.from(free, (g, i) => {
    let gap = g;
    for (let c = 0; c < n; c++) gap += slopes[i * n + c]! * solution[c + 1]!;
    return gap;
  });
}

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
