import type { Specimen } from "../calibrate/specimen.js";

/** One thing that may be wrong in a cell, by itself. */
export interface Cause {
  /** `ramp of point-45`, `grid racked`. */
  readonly name: string;
  readonly kind: "ramp" | "lean" | "stop" | "thickness" | "move" | "grid" | "off-centre";
  /** The jig, the set-up or the group of cuts; empty for the batch and the grid. */
  readonly of: string;
  readonly measure: "angle" | "length";
  /** Standard deviation of its size before anything was seen, rad or mm. */
  readonly trustedTo: number;
  /** Mean of its size before anything was seen, rad or mm; 0 unless a record of earlier jobs says otherwise. */
  readonly expected: number;
  /** Change of each elementary error of a cell, or of a trial piece on a bench, rad and mm, by a cause of size 1 (lay-out of `errorLayout`). */
  readonly on: (specimen: Specimen) => Float64Array;
  /** What a size above zero is called in the shop, and one below. */
  readonly says: readonly [more: string, less: string];
}
