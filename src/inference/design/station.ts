import { isUserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import { type BenchName, benchNames } from "../../model/cell/benches.js";
import { type Cell, PANEL_SIDES } from "../../model/cell/cell.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { faceName } from "../../model/cell/face-id.js";
import { benchCost, type Job, type SetUp, type TrialCosts } from "../../model/job/job.js";
import { jobBench, jobCell, leaningDepth } from "../../model/job/job-cell.js";
import {
  type Instrument,
  type Place,
  QUANTITIES,
  type Reading,
  type ReadingBench,
  type ReadQuantity,
} from "../../model/readings.js";
import { jigsUsed } from "../../model/shop.js";
import { lastRound } from "../likelihood/specimen.js";

/** One instrument and all the places it can read, in one trial on one bench (or on pieces by themselves). */
export interface Station {
  /** What is cut: a trial piece of one set-up, one whole piece, or a whole cell; or nothing, where a jig itself is measured. */
  readonly sample: Sample;
  readonly bench: ReadingBench;
  readonly instrument: Instrument;
  /** Readings still to be taken, without values. All belong to one trial. */
  readonly readings: readonly Reading[];
  /** Minutes before the first reading, and minutes for each reading. */
  readonly minutes: number;
  readonly minutesEach: number;
  /** Number of pieces that the trial takes. */
  readonly pieces: number;
}

/** What a trial cuts: a piece of one set-up, one whole piece or a whole cell; or the jig that is measured, where nothing is cut. */
export type Sample =
  | { readonly kind: "set-up"; readonly setUp: string }
  | { readonly kind: "piece"; readonly piece: string }
  | { readonly kind: "jig"; readonly jig: string }
  | { readonly kind: "cell" };

export function sampleName(sample: Sample): string {
  if (sample.kind === "set-up") return sample.setUp;
  if (sample.kind === "jig") return sample.jig;
  return sample.kind === "piece" ? sample.piece : "cell";
}

/**
 * Every station of a job, each with every instrument that can read there: a trial piece of each set-up by itself and on each bench that takes it,
 * one whole piece of each kind by itself, the ramp of each jig, and the whole cell with its pieces.
 */
export function stationsOf(job: Job, costs: TrialCosts): Station[] {
  const cell = jobCell(job);
  const inHand = { ...benchCost(costs, "none"), held: 1 };
  const kinds = new Map(cell.pieces.toReversed().map((piece) => [piece.kind, piece]));
  const sidesOf = (piece: string): string[] =>
    (["left", "right"] as const).map((face) => faceName({ owner: piece, face }));
  const shop = { job, costs };
  const whole: Sample = { kind: "cell" };
  return [
    ...job.setUps.flatMap((setUp) => {
      const { name, cuts } = setUp;
      const sample: Sample = { kind: "set-up", setUp: name };
      const tried = cell.pieces.find((piece) => piece.cuts.some(({ group }) => cuts.includes(group)));
      if (tried === undefined) throw new RangeError(`No piece of ${cell.name} is cut at set-up "${name}".`);
      const faces = tried.cuts.filter(({ group }) => cuts.includes(group)).map(({ face }) => face);
      const onBenches = benchNames(job.arrangement).flatMap((bench) => {
        const made = benchFor(job, bench, setUp);
        if (made === null) return [];
        const cost = { ...benchCost(costs, bench), held: made.pieces.length };
        return gapStations(shop, sample, bench, made, cost);
      });
      // A trial piece may be a stub: its thickness can be read, its length not.
      const subjects = { angle: faces, thickness: [tried.name] };
      return [...handStations(shop, sample, subjects, inHand), ...onBenches];
    }),
    ...[...kinds.values()].toReversed().flatMap(({ name, cuts }) =>
      handStations(
        shop,
        { kind: "piece", piece: name },
        {
          angle: cuts.map(({ face }) => `${name}.${face}`),
          length: [name],
          shoulder: sidesOf(name),
          thickness: [name],
        },
        inHand,
      ),
    ),
    ...jigsUsed(job).flatMap((jig) =>
      handStations(shop, { kind: "jig", jig }, { ramp: [jig] }, { ...inHand, pieces: 0, held: 0 }),
    ),
    ...handStations(
      shop,
      whole,
      {
        angle: cell.pieces.flatMap(({ name, cuts }) => cuts.map(({ face }) => `${name}.${face}`)),
        length: cell.pieces.map(({ name }) => name),
        shoulder: cell.pieces.flatMap(({ name }) => sidesOf(name)),
        thickness: cell.pieces.map(({ name }) => name),
      },
      { ...inHand, held: cell.pieces.length },
    ),
    ...gapStations(shop, whole, "cell", cell, { ...benchCost(costs, "cell"), held: cell.pieces.length }),
  ];
}

function benchFor(job: Job, bench: BenchName, setUp: SetUp): Cell | null {
  try {
    return compileCell(jobBench(job, bench, setUp));
  } catch (error) {
    if (isUserError(error, "cell")) return null;
    throw error;
  }
}

interface BenchCost {
  readonly minutes: number;
  readonly pieces: number | null;
  /** Pieces that the bench holds. */
  readonly held: number;
}

interface ShopCosts {
  readonly job: Job;
  readonly costs: TrialCosts;
}

/** What is measured by itself: for each quantity, all its subjects. */
type HandSubjects = Readonly<Partial<Record<Exclude<ReadQuantity, "gap">, readonly string[]>>>;

function handStations(shop: ShopCosts, sample: Sample, subjects: HandSubjects, bench: BenchCost): Station[] {
  return shop.job.instruments.flatMap((instrument): Station[] => {
    const readings = QUANTITIES.filter((what) => instrument.reads.includes(what)).flatMap((what) =>
      what === "gap"
        ? []
        : (subjects[what] ?? []).map((subject) =>
            blank(shop.job, sample, { bench: "none", what, subject, at: null }, instrument),
          ),
    );
    return readings.length === 0 ? [] : [station(shop, sample, "none", instrument, readings, bench)];
  });
}

function gapStations(
  shop: ShopCosts,
  sample: Sample,
  bench: ReadingBench,
  cell: Cell,
  cost: BenchCost,
): Station[] {
  // A joint between a side and a fence only holds the piece and is not read.
  const joints = cell.joints.filter(({ first, mate }) =>
    [first, mate].some((face) => at(cell.faces, face).cut !== undefined),
  );
  // Where cuts may lean, only both sides together identify the direction.
  const sides = leaningDepth(shop.job) === undefined ? [{}] : PANEL_SIDES.map((side) => ({ side }));
  return shop.job.instruments.flatMap((instrument): Station[] => {
    if (!instrument.reads.includes("gap")) return [];
    const { reach } = instrument;
    const ends = (["toe", "heel"] as const).filter((place) => reach.includes(place));
    const places: readonly Place[] = ends.length === 2 ? ends : reach;
    const readings = joints.flatMap(({ name }) =>
      places.flatMap((at) =>
        sides.map((side) =>
          blank(shop.job, sample, { bench, what: "gap", subject: name, at, ...side }, instrument),
        ),
      ),
    );
    return readings.length === 0 ? [] : [station(shop, sample, bench, instrument, readings, cost)];
  });
}

function station(
  { costs }: ShopCosts,
  sample: Sample,
  bench: ReadingBench,
  instrument: Instrument,
  readings: readonly Reading[],
  { minutes, pieces, held }: BenchCost,
): Station {
  const usual = instrument.leaves.length > 0 ? costs.leaves : costs.value;
  const minutesEach = costs.instruments[instrument.name] ?? usual;
  // All pieces of a whole cell are cut, no matter which of them are measured by themselves.
  const taken = sample.kind === "cell" ? held : (pieces ?? held);
  return { sample, bench, instrument, readings, minutes, minutesEach, pieces: taken };
}

/** A reading still to be taken. A value is a placeholder that only marks that the instrument shows one. */
function blank(
  job: Job,
  sample: Sample,
  what: Pick<Reading, "bench" | "what" | "subject" | "at" | "side">,
  { name, leaves }: Instrument,
): Reading {
  const interval = leaves.length > 0;
  return {
    id: "",
    line: 0,
    trial: sampleName(sample),
    round: lastRound(job),
    ...what,
    setUp: sample.kind === "set-up" ? sample.setUp : null,
    value: interval ? null : 0,
    low: interval ? Number.NEGATIVE_INFINITY : null,
    high: interval ? Number.POSITIVE_INFINITY : null,
    instrument: name,
    note: "",
  };
}
