import { DEGREE } from "../../core/geometry.js";
import type { Arrangement } from "../cell/arrangement.js";
import type { Order } from "../cell/cell.js";
import type { AsCut } from "../cell/cell-errors.js";
import type { Instrument, ReadingBench } from "../readings.js";
import type { RecordedPrior } from "../recorded-prior.js";
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
  /** The first clear side of the opening, mm; a pattern may have more sides. */
  readonly opening: number;
  /** Thickness of the infill's strips as seen from the face, mm. */
  readonly strip: number;
  /** Depth of the strips through the panel, mm; only if the file gives it. */
  readonly depth?: number;
  /** Share of the strip that the seat takes. For a pattern without one: the share that closes a square cell, which has no effect. */
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
  /** Joint prior of ramps, leans and stops from the records that the job names; absent without records. */
  readonly recorded?: RecordedPrior;
  /** Benches whose reference is not assumed to be perfect. */
  readonly references: readonly Reference[];
  /** Share of readings that may be gross mistakes, 0 to 0.5; with 0 every reading is trusted. */
  readonly mistakes: number;
  readonly costs: Costs;
  /** What trial cuts cost, for planning them. */
  readonly trialCosts: TrialCosts;
  /** `as-cut`: batch-cut to the stops; `fitted`: every piece trimmed until it just goes in. */
  readonly lengths: (typeof LENGTHS)[number];
  /** The panel that the cells make up; `null` if the file has none. */
  readonly panel: Panel | null;
  /** The moisture where the screen is made and where it hangs. */
  readonly season?: Season;
  /** What the pieces are cut from. */
  readonly stock?: Stock;
  /** The goal for the cells, from which tolerances are worked out. */
  readonly toleranceGoal?: ToleranceGoal;
}

/** How pieces get their length: as cut at the stops, or fitted by trial. */
export const LENGTHS = ["as-cut", "fitted"] as const;

/** Defaults for what the job file leaves out; mm and rad. Common practice, no source. */
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

/** Limits of a cell that closes: the widest gap and the deepest press allowed, mm. */
export interface ClosingLimits {
  readonly gap: number;
  readonly snug: number;
}

/**
 * The limits by which a job's cells are judged. When pieces are fitted by trial, every piece has been put in by hand, and later pieces press the earlier ones further:
 * the press is reported, but no cell fails because of it.
 */
export const closingLimits = ({ limits, lengths }: Pick<Job, "limits" | "lengths">): ClosingLimits =>
  lengths === "fitted" ? { gap: limits.gap, snug: Number.POSITIVE_INFINITY } : limits;

/**
 * Costs in units of one scrapped piece. They are not symmetric: a piece too long can be trimmed, one too short is scrap.
 * `openCell`, `adjusting` and `trial` are common practice, the others our own; none has a source. docs/model.md gives the reason for each.
 */
export const COSTS = {
  /** A cell with a gap over the limit: one piece has to be made again. */
  openCell: 1,
  /** Trimming a piece that will not go in by hand, for each multiple of the snug limit that it presses (up to five). */
  tightPiece: 0.2,
  /** A piece that rattles: open at both its ends, in full from a play of one gap limit on, in proportion below. */
  loosePiece: 0.1,
  /** The looks of a piece, for each multiple of the gap limit that its widest joint is open (up to three). */
  gap: 0.05,
  /** Touching one adjuster. */
  adjusting: 0.5,
  /** Cutting and measuring one more trial piece. */
  trial: 1,
  /** Number of cells that the settings will be used for. */
  cells: 20,
} as const;

/** Costs of a job in units of one scrapped piece, and the number of cells they are counted over; {@link COSTS} has the defaults. */
export type Costs = { readonly [key in keyof typeof COSTS]: number };

/** `minutes`: work before the first reading. `pieces`: number of pieces cut; `null` means as many as the bench holds. */
export interface BenchCost {
  readonly minutes: number;
  readonly pieces: number | null;
}

/** Costs of trial cuts, in minutes of work; only their ratios affect a plan. */
export interface TrialCosts {
  /** Minutes to cut one trial piece, its wood included. */
  readonly piece: number;
  /** Putting a trial piece on each bench, and how many pieces it takes (`null`: as many as the bench holds). `none`: measuring a piece alone. */
  readonly benches: Readonly<Partial<Record<ReadingBench, BenchCost>>>;
  /** Minutes for one reading with an instrument not named below: one with leaves, one without. */
  readonly leaves: number;
  readonly value: number;
  /** Minutes for one reading with each instrument named, by name. */
  readonly instruments: Readonly<Record<string, number>>;
}

/** Starting figures from common practice, no source. */
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

/** Any reference corner that the job does not name. */
const CORNER: BenchCost = { minutes: 1, pieces: null };

/** The cost of using a bench. */
export const benchCost = ({ benches }: Pick<TrialCosts, "benches">, bench: ReadingBench): BenchCost =>
  benches[bench] ?? CORNER;

/** The joiner's goal for the cells and the cost of precision, from which tolerances are worked out. */
export interface ToleranceGoal {
  /** Chance that a cell closes. */
  readonly chance: number;
  /** Cost of each kind of source at the tolerance that the job now states, in any unit; half the tolerance costs twice as much. */
  readonly costs: ToleranceCosts;
  /** Finest and loosest tolerance considered, as shares of the tolerance that the job now states. */
  readonly finest: number;
  readonly loosest: number;
}

/** Cost of halving each tolerance, in the units of the job's costs. */
export interface ToleranceCosts {
  /** For all ramps; every cost is that of halving one tolerance. */
  readonly ramps: number;
  readonly stops: number;
  readonly thickness: number;
  /** Cost for the walls of the grid: its laps and the thickness of its strips. */
  readonly grid: number;
  /** Cost for each between-cut standard deviation; `null`: they stay as they are. */
  readonly cuts: number | null;
}

/** Defaults (our own, no source): every source costs 1 at its present tolerance, and cost is inversely proportional to the tolerance. */
export const TOLERANCE_GOAL: ToleranceGoal = {
  chance: 0.9,
  costs: { ramps: 1, stops: 1, thickness: 1, grid: 1, cuts: null },
  finest: 0.05,
  loosest: 5,
};

/** The stock that pieces are cut from, and the wanted probability that there are enough pieces. */
export interface Stock {
  /** Available strip lengths, mm, ascending. */
  readonly lengths: readonly number[];
  /** Width of the saw's cut, mm. */
  readonly kerf: number;
  /** Allowance: how much longer a rough piece is than the finished one, mm. */
  readonly allowance: number;
  /** Length lost at the two ends of a strip together, mm. */
  readonly ends: number;
  /** Wanted probability that the pieces suffice for all cells. */
  readonly sure: number;
  /** Probability that a piece is spoilt for a reason other than the settings: a knot, a torn edge, a slip. */
  readonly mishaps: number;
}

/** Defaults, mm. Common practice or our own, no source. */
export const STOCK_DEFAULTS: Stock = {
  lengths: [1000],
  kerf: 1.2,
  allowance: 5,
  ends: 10,
  sure: 0.95,
  mishaps: 0.03,
};
