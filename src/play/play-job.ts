import type { Jig, SetUp } from "../cutting/shop.js";
import type { LengthUnit } from "../quantity/index.js";

/** What the page to play with is told of a job: plain data, mm and rad. */
export interface PlayJob {
  readonly title: string;
  readonly units: LengthUnit;
  readonly opening: number;
  readonly strip: number;
  readonly seatShare: number;
  readonly pressRatio: number;
  readonly jigs: readonly Jig[];
  readonly setUps: readonly SetUp[];
  readonly limits: { readonly gap: number; readonly snug: number };
}
