import { execFileSync } from "node:child_process";
import { join } from "node:path";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { PACKAGE_ROOT } from "../../../src/core/package-root.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrials } from "../../../src/io/trials/load-trials.js";
import type { Order } from "../../../src/model/cell/cell.js";
import type { Reading } from "../../../src/model/readings.js";
import { fitLengths } from "../../../src/physics/fitting/fit-lengths.js";
import { FittedKernel } from "../../../src/physics/kernel/fitted-kernel.js";
import { BATCH_TRIALS } from "../../../src/physics/kernel/seating-kernel.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import {
  type BenchLine,
  benchKernel,
  drawnErrors,
  drawnTrials,
  inputs,
  interleave,
  lineOf,
  median,
  model,
  ratios,
  type Timed,
} from "./bench-line.js";

const DEMO = join(PACKAGE_ROOT, "data/alcove-screen");
const CLI = join(PACKAGE_ROOT, "dist/cli/main.js");
const SIZES = [10, 60, 100, 1000] as const;
/** A fit of this many readings is what a maker waits for, s. */
const [USUAL, MOST_SECONDS] = [60, 0.5];
const NS = 1e9;
const NS_PER_MS = 1e6;

/** How long a fit takes as readings grow in number, the demo job's taken over and over as further trials; and a first prediction against a Node that does nothing. */
export function fitLines(repeats: number): BenchLine[] {
  const job = loadJob(DEMO);
  const own = loadTrials(DEMO, job);
  const fitOf = (count: number, order: Order = "exact"): Timed => {
    const readings = repeated(own, count);
    const run = (): void => void fitSources({ ...job, order }, readings);
    return { name: order === "exact" ? `${count}` : order, trials: 1, run };
  };
  const times = interleave([...SIZES.map((size) => fitOf(size)), fitOf(USUAL, "first")], repeats);
  const of = (size: number): number[] => times.get(`${size}`)!;
  const seconds = (name: string, ns: number[]): BenchLine =>
    lineOf(
      name,
      ns.map((time) => time / NS),
      MOST_SECONDS,
      "at most",
      median(ns),
    );
  const growth = SIZES.filter((size) => size !== 10).map((size) =>
    lineOf(
      `fit of ${size} readings / of 10, exact order`,
      ratios(of(size), of(10)),
      null,
      "at most",
      median(of(size)),
    ),
  );
  return [
    ...growth,
    seconds(`fit of ${USUAL} readings, exact order, seconds`, of(USUAL)),
    seconds(`fit of ${USUAL} readings, first order, seconds`, times.get("first")!),
    startUpLine(repeats),
  ];
}

/** A first prediction from the shell against a Node that does nothing, by the clock: a process's own time does not count its children's. */
function startUpLine(repeats: number): BenchLine {
  const clock = (...args: string[]): number => {
    const start = performance.now();
    execFileSync(process.execPath, args);
    return (performance.now() - start) * NS_PER_MS;
  };
  const pairs = Array.from(
    { length: repeats },
    () => [clock("-e", "0"), clock(CLI, "predict", DEMO)] as const,
  );
  const name = "start-up to first result of predict / node -e 0";
  const times = pairs.map(([, predict]) => predict);
  return lineOf(
    name,
    ratios(
      times,
      pairs.map(([node]) => node),
    ),
    null,
    "at most",
    median(times),
  );
}

/** So many readings: the first ones, then the same again as those of further trials. */
function repeated(readings: readonly Reading[], count: number): Reading[] {
  return Array.from({ length: count }, (_, k) => {
    const round = Math.floor(k / readings.length);
    const reading = readings[k % readings.length]!;
    return round === 0
      ? reading
      : { ...reading, id: `${reading.id}-${round}`, trial: `${reading.trial}-${round}` };
  });
}

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
        solveEquilibrium(model, errors, { order });
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
