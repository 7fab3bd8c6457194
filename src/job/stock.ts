/** What the pieces are cut from, and how surely there must be enough of them. */
export interface Stock {
  /** Lengths of the strips to be had, mm, rising. */
  readonly lengths: readonly number[];
  /** Width of the saw's cut, mm. */
  readonly kerf: number;
  /** What a rough piece is longer than the finished one, mm. */
  readonly allowance: number;
  /** What is cut off a strip before the first piece is taken from it, both ends together, mm. */
  readonly ends: number;
  /** Chance with which the pieces are to suffice for all cells. */
  readonly sure: number;
  /** Chance that a piece is spoilt by something that no stop is to blame for: a knot, a torn edge, a slip. */
  readonly mishaps: number;
}

/** Where the job is silent, mm. Common practice or our own, no source. */
export const STOCK_DEFAULTS: Stock = {
  lengths: [1000],
  kerf: 1.2,
  allowance: 5,
  ends: 10,
  sure: 0.95,
  mishaps: 0.03,
};
