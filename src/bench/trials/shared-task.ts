import type { KernelOptions } from "../../kernel/create-kernel.js";
import type { Cell } from "../../lattice/cell.js";
import type { ClosingLimits, KeptValues } from "./trial-tally.js";

/** All that a thread must be told. */
export interface SharedTask {
  readonly cell: Cell;
  readonly kernel: KernelOptions;
  readonly trials: number;
  readonly seed: number;
  readonly limits: ClosingLimits;
  /** One number, shared by all threads: the next block that is not claimed. */
  readonly next: Int32Array;
  readonly values: KeptValues | null;
}

/** Claims blocks one after the other, each for one thread only. */
export const claimFrom = (next: Int32Array) => (): number => Atomics.add(next, 0, 1);

/** A number array that threads share. */
export const sharedNumbers = (length: number): Float64Array =>
  new Float64Array(new SharedArrayBuffer(length * Float64Array.BYTES_PER_ELEMENT));
