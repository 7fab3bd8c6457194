import { BATCH_TRIALS } from "../kernel/compile-kernel.js";
import { FittedKernel } from "../kernel/fitted/fitted-kernel.js";
import { createStream } from "../numeric/random-stream.js";
import { fitLengths } from "../predict/fitting/fit-lengths.js";
import { settle } from "../predict/settle.js";
import { benchKernel, drawnErrors, drawnTrials, inputs, model } from "./bench-case.js";
import { type BenchLine, lineOf, median } from "./bench-line.js";
import { interleave, ratios, type Timed } from "./interleave.js";

const BATCHES = 8;
const READABLE_TRIALS = 20;
const SNUG = 0.02;

/** Cells fitted by trial against cells as cut, both drawn and seated by the kernel; and the readable fit against the fast one. */
export function fittedLines(repeats: number): BenchLine[] {
  const trials = BATCHES * BATCH_TRIALS;
  const drawn = drawnTrials(createStream(1), READABLE_TRIALS);
  const tasks: Timed[] = [];
  const rounds = new Map<string, number>();
  for (const order of ["first", "exact"] as const) {
    const cut = benchKernel({ order });
    const fitted = new FittedKernel(model, { snug: SNUG }, { order, inputs });
    for (const [name, kernel] of [
      ["cut", cut],
      ["fitted", fitted],
    ] as const) {
      const run = (): void => {
        const stream = createStream(1);
        for (let batch = 0; batch < BATCHES; batch++) {
          for (let trial = 0; trial < BATCH_TRIALS; trial++) stream.fill(kernel.drawsOf(trial));
          kernel.seat(BATCH_TRIALS);
        }
      };
      tasks.push({ name: `${name} ${order}`, trials, run });
    }
    const readable = (): void => {
      for (let trial = 0; trial < READABLE_TRIALS; trial++) {
        const { errors } = fitLengths(model, drawnErrors(drawn, trial), { snug: SNUG, order });
        settle(model, errors, { order });
      }
    };
    tasks.push({ name: `readable ${order}`, trials: READABLE_TRIALS, run: readable });
    tasks.at(-2)!.run();
    rounds.set(order, fitted.rounds / trials);
  }
  const times = interleave(tasks, repeats);
  return (["first", "exact"] as const).flatMap((order) => {
    const own = times.get(`fitted ${order}`)!;
    const against = (name: string, of: number[], to: number[], note: string): BenchLine =>
      lineOf(name, ratios(of, to), null, "at most", median(of), note);
    return [
      against(
        `fitted by trial / as cut, ${order} order`,
        own,
        times.get(`cut ${order}`)!,
        `${rounds.get(order)!.toFixed(1)} seatings a trial while fitting`,
      ),
      against(`readable fit / fast fit, ${order} order`, times.get(`readable ${order}`)!, own, ""),
    ];
  });
}
