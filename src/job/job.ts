import type { AsCut } from "../cutting/as-cut-errors.js";
import type { Jig, Reference, Round, SetUp } from "../cutting/shop.js";
import type { Arrangement } from "../lattice/arrangement.js";
import type { Order } from "../lattice/cell.js";
import type { Instrument } from "../readings/instrument.js";
import type { Costs } from "./costs.js";
import type { Panel } from "./panel.js";
import type { Season } from "./season.js";
import type { Stock } from "./stock.js";
import type { ToleranceGoal } from "./tolerance-goal.js";
import type { TrialCosts } from "./trial-costs.js";

export { FENCES, type Fence, type Jig, type SetUp, type ShimSet, type Stop } from "../cutting/shop.js";

/** A job file with everything in mm and rad and every default filled in. */
export interface Job {
  /** The file it came from. */
  readonly file: string;
  readonly title: string;
  readonly units: "mm" | "in";
  /** Name of its pattern. */
  readonly pattern: string;
  /** Every size of the pattern by name, `opening`, `strip` and `seat-share` among them: mm, rad or plain. */
  readonly patternSizes: Readonly<Record<string, number>>;
  /** The pattern at those sizes. */
  readonly arrangement: Arrangement;
  /** The first clear side of the opening, mm; a pattern may have further ones. */
  readonly opening: number;
  /** Thickness of the infill's strips as seen from the face, mm. */
  readonly strip: number;
  /** How far the strips run through the panel, mm; only where the file gives it. */
  readonly depth?: number;
  /** Of patterns that have one; elsewhere the share that closes a square cell, and of no effect. */
  readonly seatShare: number;
  readonly order: Order;
  readonly pressRatio: number;
  readonly asCut: AsCut | null;
  readonly jigs: readonly Jig[];
  readonly setUps: readonly SetUp[];
  readonly instruments: readonly Instrument[];
  /** Standard deviations from one cut (or piece) to the next on the same jig and stop: rad, mm, mm. */
  readonly scatter: { readonly angle: number; readonly length: number; readonly thickness: number };
  /** Standard deviation of the batch's thickness about the nominal, mm. */
  readonly batchThickness: number;
  /** Standard deviations of a wall's place (mm) and turn (rad) in the finished grid. */
  readonly grid: { readonly offset: number; readonly turn: number };
  readonly limits: { readonly gap: number; readonly snug: number };
  /** Known moves between rounds of trials, in the order they were made. */
  readonly rounds: readonly Round[];
  /** Benches whose reference is not taken as perfect. */
  readonly references: readonly Reference[];
  /** Share of readings that may be gross mistakes, 0 to 0.5; 0 trusts them all. */
  readonly mistakes: number;
  readonly costs: Costs;
  /** What trial cuts cost, for planning them. */
  readonly trialCosts: TrialCosts;
  /** `as-cut`: batch-cut to the stops; `fitted`: every piece trimmed until it just goes in. */
  readonly lengths: (typeof LENGTHS)[number];
  /** The panel that the cells make up; `null` where the file names none. */
  readonly panel: Panel | null;
  /** Where the screen is made and where it hangs. */
  readonly season?: Season;
  /** What the pieces are cut from. */
  readonly stock?: Stock;
  /** What is wanted of the cells, for working tolerances backwards. */
  readonly toleranceGoal?: ToleranceGoal;
}

export const LENGTHS = ["as-cut", "fitted"] as const;

/** Defaults where the job file is silent; mm and rad. Common practice, no source. */
export const JOB_DEFAULTS = {
  gapLimit: 0.1,
  snugLimit: 0.02,
  rampTrustedTo: (0.3 * Math.PI) / 180,
  stopTrustedTo: 0.1,
  scatterAngle: (0.05 * Math.PI) / 180,
  scatterLength: 0.02,
  scatterThickness: 0.01,
  batchThickness: 0.03,
  gridOffset: 0.02,
  gridTurn: (0.02 * Math.PI) / 180,
} as const;
