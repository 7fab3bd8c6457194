import type { Jig, SetUp } from "../cutting/shop.js";
import type { Arrangement } from "../lattice/arrangement.js";
import type { LengthUnit } from "../quantity/index.js";

/** What the page to play with is told of a job: plain data, mm and rad. */
export interface PlayJob {
  readonly title: string;
  readonly units: LengthUnit;
  readonly opening: number;
  readonly strip: number;
  /** The cell at nominal size: pieces, walls, and the order in which they are put in; with a depth its ramps may lean, and it is read at front and back. */
  readonly arrangement: Arrangement;
  readonly pressRatio: number;
  readonly jigs: readonly Jig[];
  readonly setUps: readonly SetUp[];
  readonly limits: { readonly gap: number; readonly snug: number };
}
