import type { AsCut } from "../cutting/as-cut-errors.js";
import type { Order } from "../predict/predict-cell.js";
import type { Instrument } from "../readings/instrument.js";

/** Where a jig's fence bears on the strip: it decides how thick stock changes the cut. */
export const FENCES = ["centred", "long-side", "short-side"] as const;
export type Fence = (typeof FENCES)[number];

/** A leaf pushed between ramp and bed at one end turns the ramp by atan(leaf / base). */
export interface ShimSet {
  /** Distance from the ramp's fixed end to where a shim goes in, mm. */
  readonly base: number;
  /** Leaves at hand, mm, rising. */
  readonly leaves: readonly number[];
}

export interface Jig {
  readonly name: string;
  /** Angle on its label, rad from a square cut. */
  readonly ramp: number;
  readonly fence: Fence;
  /** Standard deviation of the ramp's error before anything was measured, rad. */
  readonly trustedTo: number;
  /** How the ramp is adjusted; `null` when it is locked. */
  readonly shims: ShimSet | null;
}

/** How a piece's length is set at one set-up. */
export interface Stop {
  /** Standard deviation of its error before anything was measured, mm. */
  readonly trustedTo: number;
  /** Smallest move it can be given, mm; `null` when it is locked. */
  readonly step: number | null;
}

/** Cuts made alike: on one jig, at one stop. */
export interface SetUp {
  readonly name: string;
  readonly jig: string;
  /** Groups of cuts as the pattern names them: `hinge.seat`. */
  readonly cuts: readonly string[];
  /** `null` for the first end of a piece, cut to a mark: it has no length to miss. */
  readonly stop: Stop | null;
}

/** A job file with everything in mm and rad and every default filled in. */
export interface Job {
  /** The file it came from. */
  readonly file: string;
  readonly title: string;
  readonly units: "mm" | "in";
  readonly pattern: "asanoha-square";
  readonly opening: number;
  readonly strip: number;
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
}

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
