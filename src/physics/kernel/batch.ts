import type { RunPair } from "./engine.js";

/** The active trials of a batch, on which a routine still has to be run, and the location of their records in memory. */
export class Batch {
  readonly memory: Float64Array;
  readonly #records: number;
  readonly #words: number;
  readonly #active: Int32Array;
  #count = 0;

  /** @param records index of the word at which the first of `size` records of `words` words begins. */
  constructor(memory: Float64Array, records: number, words: number, size: number) {
    this.memory = memory;
    this.#records = records;
    this.#words = words;
    this.#active = new Int32Array(size);
  }

  /** Index of the word at which a trial's record begins. */
  at(trial: number): number {
    return this.#records + trial * this.#words;
  }

  /** Capacity, in trials. */
  get size(): number {
    return this.#active.length;
  }

  /** Number of active trials. */
  get count(): number {
    return this.#count;
  }

  /** Makes one more trial active. */
  add(trial: number): void {
    this.#active[this.#count++] = trial;
  }

  active(index: number): number {
    return this.#active[index]!;
  }

  /** Makes the first `count` trials active, except those that are marked. */
  activate(count: number, marked?: Uint8Array): void {
    this.#count = 0;
    for (let trial = 0; trial < count; trial++) {
      if (!marked?.[trial]) this.#active[this.#count++] = trial;
    }
  }

  /**
   * Runs a routine on every active trial, two at a time. Trials for which `keep` returns true stay active;
   * its argument `answers` has one bit for each test of the routine, at positions 0, 2, 4 …
   */
  sweep(run: RunPair, keep: (trial: number, answers: number) => boolean): void {
    const active = this.#active;
    const count = this.#count;
    let kept = 0;
    for (let i = 0; i < count; i += 2) {
      const a = active[i]!;
      const b = i + 1 < count ? active[i + 1]! : a;
      const answers = run(this.at(a), this.at(b));
      if (keep(a, answers)) active[kept++] = a;
      if (b !== a && keep(b, answers >> 1)) active[kept++] = b;
    }
    this.#count = kept;
  }

  /** Index of the word at which the spare record begins; it is the last record in memory. */
  get spare(): number {
    return this.at(this.size);
  }

  /** Copies a trial's record to the spare record. */
  copyToSpare(trial: number): void {
    this.memory.copyWithin(this.spare, this.at(trial), this.at(trial + 1));
  }

  /** Runs a routine on one trial alone. */
  one(run: RunPair, trial: number): number {
    const at = this.at(trial);
    return run(at, at);
  }
}
