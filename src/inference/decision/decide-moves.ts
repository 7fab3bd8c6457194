import { at, columnOf } from "../../core/numeric/dense.js";
import type { Job } from "../../model/job/job.js";
import type { SourceId } from "../../model/source-id.js";
import { moveMenu } from "../design/move-menu.js";
import { type ReadingValue, valueReadings } from "../design/value-of-reading.js";
import type { SourceEstimate, SourceFit } from "../estimates/fit-sources.js";
import type { Specimen } from "../likelihood/specimen.js";
import { type Adjuster, adjustersOf, NO_MOVE, nearestSetting, type Setting } from "./adjusters.js";
import {
  descend,
  type MoveSet,
  MoveTable,
  movesOf,
  onlySignificant,
  plainest,
  searchMoves,
} from "./choose-moves.js";
import { type DrawnCells, drawCells, drawsAt, type Moves, meanOf } from "./drawn-cells.js";
import { type FewerMoves, fewerMoves } from "./fewer-moves.js";
import { type LoneError, loneError } from "./lone-error.js";

/**
 * What is known about a jig or stop, and therefore what to do. `adjust`: move it. `in order`: no error found that is large enough to matter. `off, leave it`: an error is found, but moving saves less than it
 * costs. `not known`: it has to be read before anything can be said, or no move is allowed yet.
 */
export type MoveVerdict = "adjust" | "in order" | "off, leave it" | "not known";

/** What to do with one adjuster. Losses are in scrapped pieces over the batch. */
export interface Advice {
  readonly adjuster: Adjuster;
  readonly verdict: MoveVerdict;
  /** The move to make; no move unless the verdict is `adjust`. */
  readonly setting: Setting;
  /** The move that would bring the current estimate to zero if settings were continuous, and its standard uncertainty; rad or mm. */
  readonly wanted: number;
  readonly standardUncertainty: number;
  /** The move considered: the one to make or, if the adjuster stays as it is, its best alternative; no move if none would save anything. */
  readonly considered: Setting;
  /** Decrease of the expected loss by the move considered, in scrapped pieces, ≥ 0, before its cost; for a jig or stop that stays, what leaving it costs. */
  readonly gain: number;
  /** Smallest number of cells for which the move considered would pay; `null` if it saves nothing. */
  readonly paysFrom: number | null;
  /** Effect of the currently estimated error on a cell in which nothing else is off. */
  readonly alone: LoneError;
  /** Decrease of the expected loss if this error were known exactly before all moves are chosen, in scrapped pieces, ≥ 0; before the cost of reading it. */
  readonly valueOfInformation: number;
  /** What to read before anything can be said about it; `null` unless the verdict is `not known`, and also `null` if no reading would help. */
  readonly read: ReadingValue | null;
  /** Whether to take that reading first: it is worth more than it costs, or nothing can be moved without it because the sign is not identified. */
  readonly readPays: boolean;
}

/** Advice with other limits (`scale`, a ratio, times the job's), and the moves it would make. */
export interface OtherLimits {
  /** Factor applied to both limits, a ratio. */
  readonly scale: number;
  /** For each adjuster, in the order of the advice. */
  readonly settings: readonly Setting[];
}

/** Why nothing may be moved: the readings do not fit the model, or they identify the size but not the sign of the ramps and stops listed. */
export type HoldReason =
  | { readonly kind: "does not fit" }
  | { readonly kind: "unidentified sign"; readonly of: readonly SourceId[] };

/** What to do with every adjuster, and the moves that follow. */
export interface Decision {
  readonly advice: readonly Advice[];
  readonly moves: Moves;
  /** Why no move at all is recommended; `null` if moves may be made. */
  readonly hold: HoldReason | null;
  /** Expected loss over the batch as the shop stands, and after the moves with their cost, in scrapped pieces. */
  readonly loss: { readonly before: number; readonly after: number };
  /** The advice at half and at twice the job's limits, as if moves were allowed. */
  readonly otherLimits: readonly OtherLimits[];
  /** The reading of one trial piece that is worth most before any move, if it is worth more than it costs; otherwise `null`. */
  readonly readFirst: ReadingValue | null;
  /** If fewer moves would close at least as many cells: those moves, and what the recommended ones improve on them. Otherwise `null`, and also `null` if something has to be read first. */
  readonly fewer: FewerMoves | null;
}

export interface DecideOptions {
  readonly seed: number;
  /** Cells drawn to compare moves on; default {@link DECISION_DRAWS}. */
  readonly draws?: number;
  /** Whether the readings fit the model; if not, no move is recommended. Default true. */
  readonly fits?: boolean;
}

export const DECISION_DRAWS = 1000;
/** Share of the draws that moves are searched on before they are compared on all. */
const SEARCHED_SHARE = 0.2;
/** Factors applied to the limits; the advice at these limits is shown beside the advice at the job's own. */
const OTHER_SCALES = [0.5, 2];
/** An error does not matter if its effect is below this value, both in scrapped pieces over the batch and as a share of the gap limit. */
const NEGLIGIBLE_LOSS = 0.1;
const NEGLIGIBLE_SHARE = 0.1;
/** An error matters if by itself it uses up more than this share of a limit; a jig or stop is not in order if the probability that its error matters exceeds this. */
const MATTERS = 0.5;
const MAY_MATTER = 0.05;
/** A move waits for a reading if the probability that the reading changes the move's direction is at least this. */
const DEPENDS = 0.1;

/**
 * Decides on the moves: a joint Bayesian decision over the available settings of all unlocked adjusters. It minimises the posterior mean of the loss over the batch
 * (cell-loss.ts, in scrapped pieces, over drawn cells) plus the cost of adjusting; a move whose saving is within the sampling error of the draws is not made. If a reading of one more
 * trial piece is worth more than it costs (design/value-of-reading.ts), the jigs and stops whose setting depends on it wait for it.
 */
export function decideMoves(job: Job, fit: SourceFit, specimen: Specimen, options: DecideOptions): Decision {
  const { seed, draws = DECISION_DRAWS } = options;
  const { estimates, covariance, sample, sources } = fit;
  const forecast = drawCells(job, specimen, { estimates, covariance, sample, draws, seed });
  const some = Math.max(1, Math.round(SEARCHED_SHARE * draws));
  const few = drawCells(job, specimen, { estimates, covariance, sample, draws: some, seed: seed + 1 });
  const adjusters = adjustersOf(job, sources);
  const currents = adjusters.map(({ source }) => at(sources, source));
  const wanted = currents.map(({ current }) => -current.estimate);
  const search = new MoveTable(few, adjusters, [1, ...OTHER_SCALES]);
  const table = new MoveTable(forecast, adjusters);
  const still = adjusters.map(() => NO_MOVE);
  const undone = adjusters.map(({ settings }, k) => nearestSetting(settings, at(wanted, k)));
  const surely = undone.map((setting, k) => (isOff(at(currents, k)) ? setting : NO_MOVE));
  const found = descend(table, searchMoves(search, [surely, undone, still], wanted), wanted, 0, 1);
  const size = Math.min(draws, fit.effectiveSampleSize);
  const plain = plainest(table, onlySignificant(table, found, size), wanted, NEGLIGIBLE_LOSS);
  const choice = withWorthwhile(table, plain, wanted, size);
  const otherLimits = OTHER_SCALES.map((scale, i): OtherLimits => {
    const best = descend(search, search.best(i + 1), wanted, i + 1);
    return { scale, settings: onlySignificant(search, best, Math.min(some, size), i + 1) };
  });
  const menu = moveMenu(few, adjusters, choice, wanted);
  const valued = new MoveTable(drawsAt(forecast, everyOther(draws)), adjusters);
  const unsure = currents.map((source) => isUnsure(job, specimen, forecast, sources, source));
  // Every jig or stop that is not known gets the reading that would identify it; otherwise readings are evaluated only if knowing more could pay.
  const { cells } = fit.target;
  const values = valueReadings({ job, menu, table: valued, cells, seed, always: unsure.includes(true) });
  const [most = null] = values.worth;
  const readFirst = most !== null && most.value - most.standardError > most.cost ? most : null;
  const hold = holdOf(sources, options.fits ?? true);
  const advice = adjusters.map((adjuster, k): Advice => {
    const source = at(currents, k);
    const alone = loneError(job, specimen, adjuster.source, source.current.estimate);
    const known = { source, unsure: at(unsure, k), alone, hold, readFirst, values };
    return adviceOn(job, table, choice, wanted, k, known);
  });
  const made = advice.map(({ setting }) => setting);
  return {
    advice,
    hold,
    otherLimits,
    readFirst,
    fewer: advice.some(({ verdict }) => verdict === "not known")
      ? null
      : fewerMoves(few, table, made, wanted),
    moves: movesOf(forecast.columns, adjusters, made),
    loss: { before: table.total(still), after: table.total(made) },
  };
}

/** What the advice on one adjuster rests on, beside the losses of the moves. */
interface KnownOfOne {
  readonly source: SourceEstimate;
  readonly unsure: boolean;
  readonly alone: LoneError;
  readonly hold: HoldReason | null;
  readonly readFirst: ReadingValue | null;
  readonly values: ReturnType<typeof valueReadings>;
}

/** The advice on the adjuster `k`, given the moves that were chosen for all. */
function adviceOn(
  job: Job,
  table: MoveTable,
  choice: MoveSet,
  wanted: readonly number[],
  k: number,
  { source, unsure, alone, hold, readFirst, values }: KnownOfOne,
): Advice {
  const chosen = at(choice, k);
  const { considered, gain } =
    chosen.change === 0
      ? bestAlone(table, choice, k, at(wanted, k))
      : { considered: chosen, gain: savedBy(table, choice, choice.with(k, NO_MOVE)) };
  const matters = gain >= NEGLIGIBLE_LOSS || alone.share >= NEGLIGIBLE_SHARE;
  const valueOfInformation = at(values.knowing, k);
  const waits = readFirst !== null && at(readFirst.changes, k) >= DEPENDS;
  const verdict = ((): MoveVerdict => {
    if (waits || (hold !== null && chosen.change !== 0)) return "not known";
    if (chosen.change !== 0) return "adjust";
    if (isOff(source) && source.fromData) return matters ? "off, leave it" : "in order";
    if (unsure) return "not known";
    return valueOfInformation > job.costs.adjusting ? "not known" : "in order";
  })();
  const sided = source.sides !== null;
  const read = verdict !== "not known" ? null : waits && !sided ? readFirst : at(values.telling, k);
  return {
    adjuster: at(table.adjusters, k),
    verdict,
    considered,
    gain,
    alone,
    valueOfInformation,
    read,
    setting: verdict === "adjust" ? chosen : NO_MOVE,
    wanted: at(wanted, k),
    standardUncertainty: source.current.standardUncertainty,
    paysFrom: gain > 0 ? Math.ceil((job.costs.adjusting * job.costs.cells) / gain) : null,
    readPays: read !== null && (sided || read.value - read.standardError > read.cost),
  };
}

/** Whether too little is known of a source to call it in order: it was not read, its sign is open, or its error may well matter. */
function isUnsure(
  job: Job,
  specimen: Specimen,
  forecast: DrawnCells,
  sources: readonly SourceEstimate[],
  source: SourceEstimate,
): boolean {
  const index = sources.indexOf(source);
  const errors = columnOf(forecast.sources, index, forecast.columns).map(
    (error) => error + source.current.estimate - source.estimate,
  );
  return (
    !source.fromData ||
    source.sides !== null ||
    chanceItMatters(errors, (error) => loneError(job, specimen, index, error).share) > MAY_MATTER
  );
}

/**
 * Probability that an error uses up more than {@link MATTERS} of a limit.
 *
 * @param shareOf share of a limit that an error uses up, nearly proportional to it on either side of zero.
 */
function chanceItMatters(errors: Float64Array, shareOf: (error: number) => number): number {
  const farthest = errors.reduce((most, error) => Math.max(most, Math.abs(error)), 0);
  const [above, below] = [shareOf(farthest), shareOf(-farthest)];
  const mattering = errors.filter(
    (error) => (Math.abs(error) / farthest) * (error > 0 ? above : below) > MATTERS,
  );
  return mattering.length / errors.length;
}

const everyOther = (draws: number): number[] => Array.from({ length: Math.ceil(draws / 2) }, (_, i) => 2 * i);

/** Whether an error is found: its 95 % interval excludes zero. */
const isOff = ({ current }: SourceEstimate): boolean =>
  Math.abs(current.estimate) > 2 * current.standardUncertainty;

/** Decrease of the expected loss from one set of moves to another, before costs, ≥ 0. */
const savedBy = (table: MoveTable, better: MoveSet, worse: MoveSet): number =>
  Math.max(0, meanOf(table.losses(worse)) - meanOf(table.losses(better)));

/** The moves of a set, plus those moves of further adjusters that clearly save more than they cost in addition. */
function withWorthwhile(table: MoveTable, plain: MoveSet, wanted: readonly number[], size: number): MoveSet {
  let choice = plain;
  for (const [k, { change }] of plain.entries()) {
    if (change !== 0) continue;
    const more = choice.with(k, bestAlone(table, choice, k, at(wanted, k)).considered);
    if (onlySignificant(table, more, size) === more) choice = more;
  }
  return choice;
}

/** The best alternative setting of an adjuster that stays, with the others as chosen: the setting nearest to undoing its estimate, or a neighbour of that; no move if none saves anything. */
function bestAlone(
  table: MoveTable,
  choice: MoveSet,
  k: number,
  wanted: number,
): { considered: Setting; gain: number } {
  const { settings } = at(table.adjusters, k);
  const place = settings.indexOf(nearestSetting(settings, wanted));
  let best = { considered: NO_MOVE, gain: 0 };
  for (const setting of [settings[place - 1], settings[place], settings[place + 1]]) {
    if (!setting || setting.change === 0) continue;
    const gain = savedBy(table, choice.with(k, setting), choice);
    if (gain > best.gain) best = { considered: setting, gain };
  }
  return best;
}

function holdOf(sources: readonly SourceEstimate[], fits: boolean): HoldReason | null {
  if (!fits) return { kind: "does not fit" };
  const open = sources.filter(({ id, sides }) => sides !== null && id.kind !== "lean");
  return open.length === 0 ? null : { kind: "unidentified sign", of: open.map(({ id }) => id) };
}
