/** Numbers of a point that follow linearly from others of it, each from those before; worked out in the order they were added. */
export class SparseRows {
  readonly #targets: number[] = [];
  readonly #ends: number[] = [];
  readonly #places: number[] = [];
  readonly #factors: number[] = [];

  /** Number `target` becomes Σ factor·(number at place) over [place, factor]. */
  add(target: number, terms: Iterable<readonly [number, number]>): void {
    for (const [place, factor] of terms) {
      if (factor === 0) continue;
      this.#places.push(place);
      this.#factors.push(factor);
    }
    this.#targets.push(target);
    this.#ends.push(this.#places.length);
  }

  /** What fills a point in. */
  compiled(): (point: Float64Array) => void {
    const targets = Int32Array.from(this.#targets);
    const ends = Int32Array.from(this.#ends);
    const places = Int32Array.from(this.#places);
    const factors = Float64Array.from(this.#factors);
    return (point) => {
      let k = 0;
      for (let r = 0; r < targets.length; r++) {
        let sum = 0;
        for (; k < ends[r]!; k++) sum += factors[k]! * point[places[k]!]!;
        point[targets[r]!] = sum;
      }
    };
  }
}
