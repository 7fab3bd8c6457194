import type { ReadingBench } from "../readings/reading.js";

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
