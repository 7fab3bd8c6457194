import { sampleStandardDeviation } from "simple-statistics";
import { at, minus } from "../../core/numeric/dense.js";
import { type Adjuster, NO_MOVE, nearestSetting, resetSdOf, type Setting } from "./adjusters.js";
import { type DrawnCells, drawsAt, lossesAtLimits, type Moves, meanOf, noMoves } from "./drawn-cells.js";

/** One setting for each adjuster, in the order of the adjusters. */
export type MoveSet = readonly Setting[];

/** The moves of the sources that result from a set of settings. */
export function movesOf(columns: number, adjusters: readonly Adjuster[], choice: MoveSet): Moves {
  const moves = noMoves(columns);
  for (const [k, adjuster] of adjusters.entries()) {
    const setting = at(choice, k);
    moves.change[adjuster.source] = setting.change;
    moves.resetSd[adjuster.source] = resetSdOf(adjuster, setting);
  }
  return moves;
}

export const movedIn = (choice: MoveSet): number => choice.filter(({ change }) => change !== 0).length;

/** A set of moves is first compared on this share of the draws, evenly spaced, but on no fewer than the minimum below. */
const FIRST_SHARE = 0.1;
const LEAST_FIRST = 40;
/** A set that is worse on these draws by more than this many standard errors of the difference is not compared on the rest. */
const SURELY_WORSE = 4;

/** Sets of moves with their losses on the same drawn cells (common random numbers), each computed once. */
export class MoveTable {
  readonly forecast: DrawnCells;
  readonly adjusters: readonly Adjuster[];
  /** Factors of the job's limits. */
  readonly scales: readonly number[];
  readonly #known = new Map<string, { readonly choice: MoveSet; readonly losses: readonly Float64Array[] }>();
  /** The draws that sets are compared on first, and the losses there; `null` if there are too few draws. */
  readonly #first: { readonly places: readonly number[]; readonly table: MoveTable } | null;

  constructor(forecast: DrawnCells, adjusters: readonly Adjuster[], scales: readonly number[] = [1]) {
    this.forecast = forecast;
    this.adjusters = adjusters;
    this.scales = scales;
    const { draws } = forecast;
    const few = Math.max(LEAST_FIRST, Math.round(FIRST_SHARE * draws));
    const places = Array.from({ length: few }, (_, i) => Math.floor((i * draws) / few));
    this.#first =
      2 * few > draws ? null : { places, table: new MoveTable(drawsAt(forecast, places), adjusters, scales) };
  }

  /** Loss of each drawn cell over the batch, in scrapped pieces, before the cost of adjusting. */
  losses(choice: MoveSet, scale = 0): Float64Array {
    const key = keyOf(choice);
    let known = this.#known.get(key);
    if (known === undefined) {
      const moves = movesOf(this.forecast.columns, this.adjusters, choice);
      known = { choice, losses: lossesAtLimits(this.forecast, moves, this.scales) };
      this.#known.set(key, known);
    }
    return at(known.losses, scale);
  }

  /** Expected loss plus the cost of adjusting, in scrapped pieces. */
  total(choice: MoveSet, scale = 0): number {
    return meanOf(this.losses(choice, scale)) + this.forecast.job.costs.adjusting * movedIn(choice);
  }

  /** The total of a set that may be better than another, whose losses are known; `null` where the first draws already show that it is clearly worse. */
  totalIfBetter(choice: MoveSet, than: MoveSet, scale = 0): number | null {
    if (
      this.#first &&
      !this.#known.has(keyOf(choice)) &&
      this.#first.table.isSurelyWorse(choice, than, scale)
    )
      return null;
    return this.total(choice, scale);
  }

  /** Whether a set is worse than another by {@link SURELY_WORSE} standard errors of the difference. */
  isSurelyWorse(choice: MoveSet, than: MoveSet, scale: number): boolean {
    const more = minus(this.losses(choice, scale), this.losses(than, scale));
    const mean = meanOf(more);
    let squares = 0;
    for (let i = 0; i < more.length; i++) squares += (more[i]! - mean) ** 2;
    const variance = squares / (more.length - 1);
    const cost = this.forecast.job.costs.adjusting * (movedIn(choice) - movedIn(than));
    return mean + cost > SURELY_WORSE * Math.sqrt(variance / more.length);
  }

  /** The best of the sets tried so far. */
  best(scale = 0): MoveSet {
    const tried = [...this.#known.values()].map(({ choice }) => ({
      choice,
      total: this.total(choice, scale),
    }));
    return tried.reduce((a, b) => (b.total < a.total ? b : a)).choice;
  }
}

const keyOf = (choice: MoveSet): string => choice.map(({ change }) => change).join(" ");

/** Most rounds of a search. */
const MOST_ROUNDS = 6;

/**
 * Coordinate descent: each adjuster in turn is tried in its neighbouring settings, unmoved, and in the setting nearest to a wanted change, until the total no longer falls.
 *
 * @param wanted change of each adjuster that would undo its error, rad or mm.
 */
export function descend(
  table: MoveTable,
  start: MoveSet,
  wanted: readonly number[],
  scale = 0,
  rounds = MOST_ROUNDS,
): MoveSet {
  let choice = start;
  let least = table.total(choice, scale);
  for (let round = 0; round < rounds; round++) {
    const before = least;
    for (const [k, adjuster] of table.adjusters.entries()) {
      for (const other of alternatives(adjuster, at(choice, k), at(wanted, k))) {
        const changed = choice.with(k, other);
        const total = table.totalIfBetter(changed, choice, scale);
        if (total !== null && total < least) [choice, least] = [changed, total];
      }
    }
    if (least === before) break;
  }
  return choice;
}

function alternatives({ settings }: Adjuster, now: Setting, wanted: number): Setting[] {
  const place = placeOf(settings, now);
  const all = [settings[place - 1], settings[place + 1], NO_MOVE, nearestSetting(settings, wanted)];
  const seen = new Set([now.change]);
  return all.flatMap((setting) => {
    if (setting === undefined || seen.has(setting.change)) return [];
    seen.add(setting.change);
    return [setting];
  });
}

const placeOf = (settings: readonly Setting[], { change }: Setting): number =>
  settings.findIndex((one) => one.change === change);

/** Whether a setting is next to the present one. */
const isNext =
  ({ settings }: Adjuster, now: Setting) =>
  (other: Setting): boolean =>
    Math.abs(placeOf(settings, other) - placeOf(settings, now)) === 1;
const isFar = (adjuster: Adjuster, now: Setting) => {
  const next = isNext(adjuster, now);
  return (other: Setting): boolean => !next(other);
};

/**
 * Exchange of pairs: two adjusters are changed at once, both to neighbouring settings or both to unmoved or undone, when changing one alone does not help. Errors that compensate each other,
 * such as those of mitre and seat, are only found this way.
 */
export function exchangePairs(
  table: MoveTable,
  start: MoveSet,
  wanted: readonly number[],
  scale = 0,
): MoveSet {
  let choice = start;
  let least = table.total(choice, scale);
  const { adjusters } = table;
  for (let k = 0; k < adjusters.length; k++) {
    for (let l = 0; l < k; l++) {
      const [a, b] = [at(choice, k), at(choice, l)];
      for (const kinds of [isNext, isFar]) {
        const own = alternatives(at(adjusters, k), a, at(wanted, k)).filter(kinds(at(adjusters, k), a));
        const others = alternatives(at(adjusters, l), b, at(wanted, l)).filter(kinds(at(adjusters, l), b));
        for (const one of own) {
          for (const other of others) {
            const changed = choice.with(k, one).with(l, other);
            const total = table.totalIfBetter(changed, choice, scale);
            if (total !== null && total < least) [choice, least] = [changed, total];
          }
        }
      }
    }
  }
  return choice;
}

/**
 * The set of moves with the least expected loss plus cost of adjusting, found by descent and exchange of pairs from several starts, on the same drawn cells.
 *
 * @param starts sets of moves to begin from.
 */
export function searchMoves(
  table: MoveTable,
  starts: readonly MoveSet[],
  wanted: readonly number[],
  scale = 0,
): MoveSet {
  const ends = starts.map((start) => descend(table, start, wanted, scale));
  let choice = ends.reduce((a, b) => (table.total(b, scale) < table.total(a, scale) ? b : a));
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const exchanged = exchangePairs(table, choice, wanted, scale);
    if (exchanged === choice) break;
    choice = descend(table, exchanged, wanted, scale);
  }
  return choice;
}

/**
 * Drops moves whose saving does not exceed their cost by one standard error, the least significant first: the best of many sets looks better than it is on the draws it was selected on.
 *
 * @param effectiveSize effective sample size of the losses.
 */
export function onlySignificant(
  table: MoveTable,
  chosen: MoveSet,
  effectiveSize: number,
  scale = 0,
): MoveSet {
  const cost = table.forecast.job.costs.adjusting;
  let choice = chosen;
  for (;;) {
    const now = table.losses(choice, scale);
    const sure = choice.map(({ change }, k) => {
      if (change === 0) return Number.POSITIVE_INFINITY;
      const saved = minus(table.losses(choice.with(k, NO_MOVE), scale), now);
      return meanOf(saved) - sampleStandardDeviation([...saved]) / Math.sqrt(effectiveSize) - cost;
    });
    const least = Math.min(...sure);
    if (least > 0) return choice;
    choice = choice.with(sure.indexOf(least), NO_MOVE);
  }
}

/**
 * Replaces a move by the one that simply undoes the estimated error if that costs hardly more: the advice is then plainer, and the difference is within the sampling error of the
 * draws.
 *
 * @param wanted change of each adjuster that would undo its error, rad or mm.
 * @param most the largest increase of the loss accepted for each replacement, in scrapped pieces.
 */
export function plainest(
  table: MoveTable,
  chosen: MoveSet,
  wanted: readonly number[],
  most: number,
): MoveSet {
  let choice = chosen;
  for (const [k, { settings }] of table.adjusters.entries()) {
    const plain = nearestSetting(settings, at(wanted, k));
    if (at(choice, k).change === 0 || plain.change === 0 || plain.change === at(choice, k).change) continue;
    const changed = choice.with(k, plain);
    if (table.total(changed) < table.total(choice) + most) choice = changed;
  }
  return choice;
}
