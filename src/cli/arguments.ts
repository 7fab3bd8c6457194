import { type Command, InvalidArgumentError } from "commander";
import { MOST_SEED } from "../core/numeric/random-stream.js";
import { MOST_POOL_THREADS } from "../core/threads/worker-pool.js";

/** What a command prints its answer with, and tells the steps of longer work. */
export interface CommandTools {
  readonly print: (text: string) => void;
  readonly progress: (step: string) => void;
}

/** Adds a feature's command with its options and help. Its code is loaded when it runs, so that `sukima --help` need not wait for it. */
export type AddCommand = (program: Command, tools: CommandTools) => void;

/** Gathers an option that may be repeated. */
export const repeated = (text: string, before: readonly string[] = []): string[] => [...before, text];

/** A number as people write it, a million as 1e6 too; NaN for anything else, nothing among it. */
function written(text: string): number {
  return /^[+-]?(\d+\.?\d*|\.\d+)(e\+?\d+)?$/i.test(text.trim()) ? Number(text) : Number.NaN;
}

/** Reads a whole number. Whatever costs memory or time has a bound that an ordinary machine can bear. */
function whole(least: number, most: number, example: string): (text: string) => number {
  const range = `from ${least} to ${most}`;
  return (text) => {
    const value = written(text);
    if (Number.isSafeInteger(value) && value >= least && value <= most) return value;
    throw new InvalidArgumentError(`Write a whole number, ${range}, for example ${example}.`);
  };
}

/** Of every draw: the same seed gives the same answer. */
export const seed = whole(0, MOST_SEED, "7");
export const cells = whole(100, 1_000_000_000, "1000000 or 1e6");
export const seasonCells = whole(100, 100_000, "4096");
export const panels = whole(20, 1_000_000, "10000 or 1e4");
export const threads = whole(1, MOST_POOL_THREADS, "2");
export const trials = whole(1, 100, "6");
export const faults = whole(1, 3, "2");
export const ofClass = whole(1, 60, "12");
export const pictureWidth = whole(1, 5000, "1200");

/** Reads a number within limits; `rule` says them. */
function number(within: (value: number) => boolean, rule: string): (text: string) => number {
  return (text) => {
    const value = written(text);
    if (within(value)) return value;
    throw new InvalidArgumentError(`Write ${rule}.`);
  };
}

export const seconds = number(
  (value) => value >= 1 && value <= 86_400,
  "a number of seconds from 1 to 86400, for example 60",
);
export const minutes = number(
  (value) => value > 0 && value <= 100_000,
  "a number of minutes greater than zero, at most 100000, for example 90",
);
export const chance = number((value) => value > 0 && value < 1, "a share between 0 and 1, for example 0.9");

/** Options without those that were not given, so that the defaults of the library hold. */
export function given<T extends object>(options: T): { [K in keyof T]?: Exclude<T[K], undefined> } {
  const entries = Object.entries(options).filter(([, value]) => value !== undefined);
  return Object.fromEntries(entries) as { [K in keyof T]?: Exclude<T[K], undefined> };
}
