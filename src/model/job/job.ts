import { DEGREE } from "../../core/geometry.js";
import type { Arrangement } from "../cell/arrangement.js";
import type { Order } from "../cell/cell.js";
import type { AsCut } from "../cell/cell-errors.js";
import type { Instrument, ReadingBench } from "../readings.js";
import type { Jig, Reference, Round, SetUp } from "../shop.js";
import type { Panel } from "./panel.js";
import type { Season } from "./season.js";

export { FENCES, type Fence, type Jig, type SetUp, type ShimSet, type Stop } from "../shop.js";

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
  readonly betweenCutSd: { readonly angle: number; readonly length: number; readonly thickness: number };
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

/** How the lengths of pieces come about: as cut at the stops, or fitted by trial. */
export const LENGTHS = ["as-cut", "fitted"] as const;

/** Defaults where the job file is silent; mm and rad. Common practice, no source. */
export const JOB_DEFAULTS = {
  gapLimit: 0.1,
  snugLimit: 0.02,
  rampTrustedTo: 0.3 * DEGREE,
  stopTrustedTo: 0.1,
  betweenCutAngle: 0.05 * DEGREE,
  betweenCutLength: 0.02,
  betweenCutThickness: 0.01,
  batchThickness: 0.03,
  gridOffset: 0.02,
  gridTurn: 0.02 * DEGREE,
} as const;

/** When a cell closes: its worst gap and its worst press at most these, mm. */
export interface ClosingLimits {
  readonly gap: number;
  readonly snug: number;
}

/**
 * The limits a job's cells are judged by. Where pieces are fitted by trial every one of them has gone in by hand, and those already in are pressed further by those that
 * follow: the press is told, but no cell fails by it.
 */
export const closingLimits = ({ limits, lengths }: Pick<Job, "limits" | "lengths">): ClosingLimits =>
  lengths === "fitted" ? { gap: limits.gap, snug: Number.POSITIVE_INFINITY } : limits;

/**
 * What goes wrong, in the worth of one scrapped piece. Not symmetric: a piece too long can be trimmed, one too short is scrap.
 * Common practice, no source: the figures are a starting point.
 */
export const COSTS = {
  /** A cell with a gap over the limit: a piece is made anew. */
  openCell: 1,
  /** A cell too tight to close by hand, for each snug limit that it is pressed beyond (up to five): trimming. */
  tightCell: 0.1,
  /** A gap, for each gap limit it is wide (up to three): looks. */
  gap: 0.1,
  /** Touching one adjuster. */
  adjusting: 0.5,
  /** Cutting and measuring one more trial piece. */
  trial: 1,
  /** Cells that the settings will be used for. */
  cells: 20,
} as const;

/** What goes wrong in a job, each in the worth of one scrapped piece, and how many cells it is reckoned for; {@link COSTS} has the defaults. */
export type Costs = { readonly [key in keyof typeof COSTS]: number };

/** Minutes before the first reading; how many pieces are taken, `null`: as many as the bench holds. */
export interface BenchCost {
  readonly minutes: number;
  readonly pieces: number | null;
}

/** What trial cuts cost, in minutes of work; only their proportions matter to a plan. */
export interface TrialCosts {
  /** Minutes to cut one trial piece, its wood included. */
  readonly piece: number;
  /** Putting a trial on each bench, and how many pieces it takes (`null`: as many as the bench holds). `none` is taking it into the hand. */
  readonly benches: Readonly<Partial<Record<ReadingBench, BenchCost>>>;
  /** Minutes for one reading with an instrument that the job does not name here: with leaves, without. */
  readonly leaves: number;
  readonly value: number;
  /** Minutes for one reading with each instrument named, by name. */
  readonly instruments: Readonly<Record<string, number>>;
}

/** Common practice, no source: figures to start from. */
export const TRIAL_COSTS: TrialCosts = {
  piece: 4,
  benches: {
    none: { minutes: 0.5, pieces: 1 },
    straightedge: { minutes: 1, pieces: null },
    "mitre-pair": { minutes: 2, pieces: null },
    reversal: { minutes: 2, pieces: null },
    ring: { minutes: 5, pieces: null },
    cell: { minutes: 10, pieces: null },
  },
  leaves: 1,
  value: 0.5,
  instruments: {},
};

/** Any reference corner, where the job does not name it. */
const CORNER: BenchCost = { minutes: 1, pieces: null };

/** What a bench costs. */
export const benchCost = ({ benches }: Pick<TrialCosts, "benches">, bench: ReadingBench): BenchCost =>
  benches[bench] ?? CORNER;

/** What the joiner wants of the cells, and what precision costs: for working tolerances backwards. */
export interface ToleranceGoal {
  /** Chance that a cell closes. */
  readonly chance: number;
  /** What each kind of source costs at the tolerance the job states now, in any unit; half the tolerance costs twice as much. */
  readonly costs: ToleranceCosts;
  /** Finest and loosest tolerance considered, as shares of what the job states now. */
  readonly finest: number;
  readonly loosest: number;
}

/** Cost of halving each tolerance, in the units of the job's costs. */
export interface ToleranceCosts {
  /** Of all ramps; every cost is for halving one tolerance. */
  readonly ramps: number;
  readonly stops: number;
  readonly thickness: number;
  /** Cost for the walls of the grid: its laps and the thickness of its strips. */
  readonly grid: number;
  /** Cost for each between-cut standard deviation; `null`: they stay as they are. */
  readonly cuts: number | null;
}

/** Where the job is silent. Our own, no source: every source costs 1 at today's tolerance, and cost goes as one over the tolerance. */
export const TOLERANCE_GOAL: ToleranceGoal = {
  chance: 0.9,
  costs: { ramps: 1, stops: 1, thickness: 1, grid: 1, cuts: null },
  finest: 0.05,
  loosest: 5,
};

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
