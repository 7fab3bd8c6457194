import { BATCH_TRIALS } from "../kernel/compile-kernel.js";
import { createStream } from "../numeric/random-stream.js";
import { freeGaps, settle } from "../predict/settle.js";
import { benchKernel, drawnErrors, drawnTrials, model, seatDrawn, workBatches } from "./bench-case.js";
import { type BenchLine, lineOf, median, skippedLine } from "./bench-line.js";
import { interleave, ratios, type Timed } from "./interleave.js";
import { linearProblem, loadQuadprog, solveByQuadprog } from "./quadratic-programme.js";

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
      for (const own of errors) settle(model, own, { order });
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
    line("first order / floor", `${fastest} first`, floor, 2.5, "at most"),
    line("exact order / floor", `${fastest} exact`, floor, 7, "at most"),
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
