/** Hands out places in a trial's record, the stretch of memory that holds one trial's numbers while it is seated. */
export class RecordPlan {
  #words = 0;

  /** The first of `count` neighbouring places, in words of 8 bytes. */
  take(count: number): number {
    const place = this.#words;
    this.#words += count;
    return place;
  }

  get words(): number {
    return this.#words;
  }
}
