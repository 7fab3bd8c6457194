/** What a reading is of. Gaps, lengths and thicknesses are in mm, angles in rad. */
export const QUANTITIES = ["gap", "angle", "length", "thickness"] as const;
export type ReadQuantity = (typeof QUANTITIES)[number];

/** Where along a joint a gap is read; `widest` is whichever end is wider, all that a broad leaf can tell. */
export const PLACES = ["toe", "heel", "widest"] as const;
export type Place = (typeof PLACES)[number];

/** A measuring instrument as the job declares it. */
export interface Instrument {
  readonly name: string;
  /** What it reads. */
  readonly reads: readonly ReadQuantity[];
  /** Where it can get at a gap; empty when it reads no gaps. */
  readonly reach: readonly Place[];
  /** Smallest step it shows, mm or rad; `null` for one that only tells intervals. */
  readonly resolution: number | null;
  /** Standard deviation of repeated readings of one thing, mm or rad, ≥ 0. */
  readonly repeatability: number;
  /** What it adds to every reading, mm or rad: a leaf that pushes loose pieces apart reads too much (+). */
  readonly bias: number;
  /** Standard deviation of that, mm or rad. */
  readonly biasTrustedTo: number;
  /** Leaves of a feeler gauge, mm, rising; empty for other instruments. */
  readonly leaves: readonly number[];
}
