import type { RunPair } from "./engine.js";

/** The trials of a batch that a routine is still to be run on, and where their records lie in the memory. */
export class Batch {
  readonly memory: Float64Array;
  readonly #records: number;
  readonly #words: number;
  readonly #active: Int32Array;
  #count = 0;

  /** @param records word at which the first of `size` records of `words` words begins. */
  constructor(memory: Float64Array, records: number, words: number, size: number) {
    this.memory = memory;
    this.#records = records;
    this.#words = words;
    this.#active = new Int32Array(size);
  }

  /** Word of the memory at which a trial's record begins. */
  at(trial: number): number {
    return this.#records + trial * this.#words;
  }

  /** How many trials there is room for. */
  get size(): number {
    return this.#active.length;
  }

  /** How many trials are active. */
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

  /** Makes the first `count` trials active, but not those that are marked. */
  activate(count: number, marked?: Uint8Array): void {
    this.#count = 0;
    for (let trial = 0; trial < count; trial++) {
      if (!marked?.[trial]) this.#active[this.#count++] = trial;
    }
  }

  /**
   * Runs a routine on every active trial, two at a time. Those of which `keep` says so stay active;
   * its answers are one bit for each test of the routine, at the places 0, 2, 4 …
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

  /** Word at which the spare record begins, the last of the memory. */
  get spare(): number {
    return this.at(this.size);
  }

  /** Copies a trial's record to the spare one. */
  copyToSpare(trial: number): void {
    this.memory.copyWithin(this.spare, this.at(trial), this.at(trial + 1));
  }

  /** Runs a routine on one trial alone. */
  one(run: RunPair, trial: number): number {
    const at = this.at(trial);
    return run(at, at);
  }
}
