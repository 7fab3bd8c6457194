import { quantile } from "simple-statistics";
import type { RandomStream } from "../../../src/core/numeric/random-stream.js";
import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import {
  createKernel,
  type KernelOptions,
  type SeatingKernel,
} from "../../../src/physics/kernel/seating-kernel.js";
import { independentErrors } from "../../../src/physics/kernel/trial-record.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";

/** One result of the bench. */
export interface BenchLine {
  readonly name: string;
  /** What was measured, as a multiple of what it is measured against (or in the unit that the name says); `null` when it was skipped. */
  readonly ratio: number | null;
  /** Smallest and largest over the repeats. */
  readonly spread: readonly [number, number] | null;
  /** What is wanted of the ratio; `null` when it is only reported. */
  readonly target: number | null;
  readonly wanted: "at most" | "at least";
  /** `null` when there is nothing to be met. */
  readonly met: boolean | null;
  readonly nsPerTrial: number | null;
  readonly note: string;
}

/** A line from the ratios of all repeats. A target counts as missed when their median misses it, and the quartile on the side of the target does too: by more than the repeats scatter. */
export function lineOf(
  name: string,
  ratios: readonly number[],
  target: number | null,
  wanted: "at most" | "at least",
  nsPerTrial: number | null,
  note = "",
): BenchLine {
  const ratio = median(ratios);
  const near = quantile([...ratios], wanted === "at most" ? 0.25 : 0.75);
  const met = target === null ? null : wanted === "at most" ? near <= target : near >= target;
  return {
    name,
    ratio,
    target,
    wanted,
    met,
    nsPerTrial,
    note,
    spread: [Math.min(...ratios), Math.max(...ratios)],
  };
}

/** A line that could not be measured here. */
export const skippedLine = (name: string, why: string): BenchLine => ({
  name,
  ratio: null,
  spread: null,
  target: null,
  wanted: "at least",
  met: null,
  nsPerTrial: null,
  note: `skipped: ${why}`,
});

export function median(values: readonly number[]): number {
  const sorted = [...values].sort((a, b) => a - b);
  const half = sorted.length >> 1;
  return sorted.length % 2 === 1 ? sorted[half]! : (sorted[half - 1]! + sorted[half]!) / 2;
}

/** The line as text. */
export function lineText({ name, ratio, spread, target, wanted, met, nsPerTrial, note }: BenchLine): string {
  const number = (x: number): string => (x >= 100 ? x.toFixed(0) : x.toPrecision(3));
  const parts = [name.padEnd(52)];
  if (ratio !== null) parts.push(number(ratio).padStart(7));
  if (spread) parts.push(`(${number(spread[0])} … ${number(spread[1])})`.padEnd(19));
  if (target !== null)
    parts.push(
      `${wanted} ${number(target)}: ${met === null ? "not judged" : met ? "met" : "NOT MET"}`.padEnd(22),
    );
  if (nsPerTrial !== null) parts.push(`${nsPerTrial.toFixed(0)} ns a trial`);
  if (note !== "") parts.push(note);
  return parts.join("  ").trimEnd();
}

/** Work on a number of trials. */
export interface Timed {
  readonly name: string;
  readonly trials: number;
  readonly run: () => void;
}

/**
 * Runs each once to warm it up, then all in turn, again and again, so that what disturbs the machine disturbs them alike.
 * Counted is the processor's time, which is the clock's on an idle machine and leaves out most of what others take from it on a busy one.
 *
 * @returns for each, ns a trial in every repeat.
 */
export function interleave(tasks: readonly Timed[], repeats: number): Map<string, number[]> {
  const times = new Map(tasks.map(({ name }) => [name, [] as number[]]));
  for (let repeat = -1; repeat < repeats; repeat++) {
    for (const { name, trials, run } of tasks) {
      const start = process.cpuUsage();
      run();
      const { user, system } = process.cpuUsage(start);
      if (repeat >= 0) times.get(name)!.push((1000 * (user + system)) / trials);
    }
  }
  return times;
}

/** Ratios of two tasks repeat by repeat. */
export const ratios = (of: readonly number[], to: readonly number[]): number[] =>
  of.map((x, k) => x / to[k]!);

/** The case of every line: a square cell of 60 mm with 3 mm strips, 71 independent normal errors of 0.1° and 0.03 mm. */
export const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
const ANGLE = (0.1 * Math.PI) / 180;
const LENGTH = 0.03;

export const model = cellModel(cell);
export const inputs = independentErrors(
  Float64Array.from(errorLayout(cell).entries, ({ kind }) =>
    kind === "angle" || kind === "turn" ? ANGLE : LENGTH,
  ),
);

export const benchKernel = (options: Omit<KernelOptions, "inputs">): SeatingKernel =>
  createKernel(model, { ...options, inputs });

/** Draws the normals of a batch and, as `work` says, finds the free gaps alone (the floor) or seats them. */
export function workBatches(
  kernel: SeatingKernel,
  stream: RandomStream,
  batches: number,
  work: "floor" | "seat",
): void {
  const { batchTrials } = kernel;
  for (let batch = 0; batch < batches; batch++) {
    for (let trial = 0; trial < batchTrials; trial++) stream.fill(kernel.drawsOf(trial));
    if (work === "floor") kernel.freeGaps(batchTrials);
    else kernel.seat(batchTrials);
  }
}

/** Trials drawn beforehand, row-major, for lines that leave the drawing out. */
export function drawnTrials(stream: RandomStream, trials: number): Float64Array {
  return stream.fill(new Float64Array(trials * inputs.draws));
}

/** Seats trials drawn beforehand; a whole number of batches. `see` is called when a batch is seated, with the number of its first trial. */
export function seatDrawn(
  kernel: SeatingKernel,
  drawn: Float64Array,
  see: (start: number) => void = () => {},
): void {
  const { batchTrials } = kernel;
  const trials = drawn.length / inputs.draws;
  for (let start = 0; start < trials; start += batchTrials) {
    for (let trial = 0; trial < batchTrials; trial++) {
      const own = kernel.drawsOf(trial);
      const from = (start + trial) * inputs.draws;
      for (let k = 0; k < own.length; k++) own[k] = drawn[from + k]!;
    }
    kernel.seat(batchTrials);
    see(start);
  }
}

/** The error vector of one of those trials. */
export const drawnErrors = (drawn: Float64Array, trial: number): Float64Array =>
  inputs.mean.map((_, i) => drawn[trial * inputs.draws + i]! * inputs.matrix[i * inputs.draws + i]!);
