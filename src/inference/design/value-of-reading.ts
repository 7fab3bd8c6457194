import { at, columnOf, innerProduct, rowsOf } from "../../core/numeric/dense.js";
import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { type MoveSet, type MoveTable, movedIn } from "../decision/choose-moves.js";
import { meanOf } from "../decision/drawn-cells.js";
import type { JobCells } from "../likelihood/read-specimen.js";
import { type SimulatedReading, simulateReadings } from "./simulated-readings.js";
import { type Station, sampleName } from "./station.js";

/** One or a few readings of one new trial piece, and what they are worth before any move is made. Amounts are in scrapped pieces over the batch. */
export interface ReadingValue {
  /** Where and with what the readings are taken; all stations use the same trial piece. @internal */
  readonly stations: readonly Station[];
  /** What to read, without values; one reading for each station. */
  readonly readings: readonly Reading[];
  /** Whether one of the instruments has to be borrowed. */
  readonly borrowed: boolean;
  /** Decrease of the expected loss when the moves are chosen after the reading instead of now, ≥ 0; before its cost. */
  readonly value: number;
  /** Standard error of that value from the number of draws. */
  readonly standardError: number;
  /** What cutting the piece and reading it costs. */
  readonly cost: number;
  /** For each adjuster the probability, 0 to 1, that after the reading it would be moved in a different direction than without it, or not moved; empty if the value is 0. How far it is moved may change as well. */
  readonly changes: readonly number[];
}

/** Value of further readings for a decision. */
export interface ReadingValues {
  /** Readings of one trial piece in falling order of value less cost; only those with a value above 0. */
  readonly worth: readonly ReadingValue[];
  /** For each adjuster the expected value of partial perfect information, in scrapped pieces: what it would be worth to know its error exactly. */
  readonly knowing: readonly number[];
  /** For each adjuster the cheapest of the most informative readings of its error; `null` if none explains a tenth of its variance. */
  readonly telling: readonly (ReadingValue | null)[];
}

/** The decision and the draws on which it is made. */
export interface ValueProblem {
  readonly job: Job;
  /** Sets of moves that may be best after a reading; the one chosen without it comes first. */
  readonly menu: readonly MoveSet[];
  readonly table: MoveTable;
  readonly cells: JobCells;
  readonly seed: number;
  /** Whether readings are valued even if knowing every error exactly would be worth less than the cost of the cheapest of them. */
  readonly always: boolean;
}

/** Maximum number of groups of outcomes of a reading; all groups are about equally likely. */
const OUTCOMES = 8;
/** The same for two or three readings taken together. */
const OUTCOMES_TOGETHER = 4;
const MOST_TOGETHER = 3;
/** Number of samples for which further readings are tried: those with the most valuable single readings. */
const SAMPLES_TRIED = 4;
/** Least value that a further reading has to add, in scrapped pieces. */
const WORTH_ADDING = 0.1;
/** Costs of measuring something without cutting a piece, and of fetching an instrument, as shares of the cost of a trial piece; our own figures. */
const NO_PIECE = 0.5;
const FETCHING = 0.5;
/** A reading counts as good if it explains at least this share of what the best one explains; below that, the least share of a variance that is worth explaining. */
const NEARLY_BEST = 0.9;
const LEAST_TOLD = 0.1;

/**
 * Preposterior analysis on the draws of the posterior (H. Raiffa and R. Schlaifer, Applied Statistical Decision Theory, 1961). Every reading that could be taken is simulated at each draw;
 * the draws with similar outcomes represent the posterior after that outcome, and the best set of moves on the menu is chosen for them, over all jigs and stops together.
 * The choice is made on one half of the draws and evaluated on the other half, to avoid selection bias.
 */
export function valueReadings(problem: ValueProblem): ReadingValues {
  const { job, menu, table, cells, seed } = problem;
  const { forecast, adjusters } = table;
  const decision = new OutcomeDecision(table, menu);
  const sources = adjusters.map(({ source }) => columnOf(forecast.sources, source, forecast.columns));
  const knowing = sources.map((values) => Math.max(0, decision.after(grouped(values, OUTCOMES)).value));
  const most = knowing.reduce((sum, value) => sum + value, 0);
  if (!problem.always && most < NO_PIECE * job.costs.trial)
    return { worth: [], knowing, telling: adjusters.map(() => null) };
  const simulated = simulateReadings(job, forecast, cells, seed);
  const outcomes = simulated.map(({ shown }) => grouped(shown, OUTCOMES));
  const valued = simulated.map((one, i) => readingValue(problem, decision, [one], at(outcomes, i)));
  const worth = [...valued, ...readTogether(problem, decision, simulated, valued)]
    .filter(({ value }) => value > 0)
    .sort((a, b) => b.value - b.cost - (a.value - a.cost) || minutesOf(a) - minutesOf(b));
  const [best] = worth;
  // Among readings of equal information and cost, the one with the highest value for all moves is chosen, so that one reading is asked for instead of two similar ones.
  const order = best ? [best, ...valued.filter((one) => one !== best)] : valued;
  const places = order.flatMap((one) => {
    const i = valued.indexOf(one);
    return i < 0 ? [] : [i];
  });
  return {
    worth,
    knowing,
    telling: sources.map((values) =>
      tellingReading(
        values,
        places.map((i) => at(valued, i)),
        places.map((i) => at(outcomes, i)),
      ),
    ),
  };
}

/** Outcome of each draw, 0 to count − 1. */
interface Outcomes {
  readonly of: Int32Array;
  readonly count: number;
}

/** Groups values by their quantiles; equal values stay in the same group. */
function grouped(values: Float64Array, most: number): Outcomes {
  const sorted = values.filter(Number.isFinite).sort();
  const edges = [
    ...new Set(
      Array.from({ length: most - 1 }, (_, i) => sorted[Math.floor(((i + 1) * sorted.length) / most)]),
    ),
  ].filter((edge) => edge !== undefined);
  const of = new Int32Array(values.length);
  for (const edge of edges) for (let d = 0; d < of.length; d++) if (edge < values[d]!) of[d]!++;
  return { of, count: edges.length + 1 };
}

const together = (a: Outcomes, b: Outcomes): Outcomes => ({
  of: a.of.map((outcome, d) => outcome * b.count + at(b.of, d)),
  count: a.count * b.count,
});

/**
 * The choice among the sets of a menu once an outcome is known. Sets are chosen by a smooth (quadratic) fit of their losses as a function of the sources, in which the noise of single cells is
 * averaged out, and evaluated by the losses themselves, on draws that were not used for the choice.
 */
class OutcomeDecision {
  readonly #menu: readonly MoveSet[];
  readonly #draws: number;
  /** Loss of each set less that of the first, costs of adjusting included, row-major (draw, set). */
  readonly #differences: Float64Array;
  /** The same as a function of the sources, fitted to all draws and to those of each half. */
  readonly #smooth: { readonly all: Smoothed; readonly halves: readonly Smoothed[] };

  constructor(table: MoveTable, menu: readonly MoveSet[]) {
    const { forecast, adjusters } = table;
    const { adjusting } = forecast.job.costs;
    const first = at(menu, 0);
    const sets = menu.length;
    this.#menu = menu;
    this.#draws = forecast.draws;
    this.#differences = new Float64Array(forecast.draws * sets);
    for (const [k, choice] of menu.entries()) {
      const cost = adjusting * (movedIn(choice) - movedIn(first));
      const [own, now] = [table.losses(choice), table.losses(first)];
      for (let d = 0; d < forecast.draws; d++)
        this.#differences[d * sets + k] = at(own, d) - at(now, d) + cost;
    }
    const features = quadraticFeatures(
      adjusters.map(({ source }) => columnOf(forecast.sources, source, forecast.columns)),
    );
    const smooth = (counts: (draw: number) => boolean): Smoothed =>
      smoothed(features, this.#differences, sets, counts);
    this.#smooth = {
      all: smooth(() => true),
      halves: [0, 1].map((half) => smooth((d) => d % 2 === half)),
    };
  }

  /** Value of knowing the outcome, and its standard error. */
  after(outcomes: Outcomes): { value: number; standardError: number } {
    const halves = this.#smooth.halves.map((smooth) => choices(smooth, outcomes));
    const sets = this.#menu.length;
    const saved = new Float64Array(this.#draws);
    for (let d = 0; d < saved.length; d++) {
      // The set was chosen on the other half of the draws.
      const set = halves[1 - (d % 2)]![outcomes.of[d]!]!;
      saved[d] = -this.#differences[d * sets + set]!;
    }
    const value = meanOf(saved);
    let squares = 0;
    for (let d = 0; d < saved.length; d++) squares += (saved[d]! - value) ** 2;
    return { value, standardError: Math.sqrt(squares) / this.#draws };
  }

  /** For each adjuster the probability that it is moved in a different direction, or not moved, once the outcome is known. */
  changes(outcomes: Outcomes): number[] {
    const chosen = choices(this.#smooth.all, outcomes);
    const first = at(this.#menu, 0);
    const number = new Int32Array(outcomes.count);
    for (let d = 0; d < this.#draws; d++) number[outcomes.of[d]!]!++;
    return first.map(({ change }, k) => {
      let changed = 0;
      for (const [outcome, draws] of number.entries())
        if (Math.sign(at(at(this.#menu, at(chosen, outcome)), k).change) !== Math.sign(change))
          changed += draws;
      return changed / this.#draws;
    });
  }
}

/** Losses of the sets of a menu as functions of the sources. */
interface Smoothed {
  /** Row-major (draw, set). */
  readonly values: Float64Array;
  /** The draws that they were fitted to. */
  readonly draws: readonly number[];
  /** Residual standard deviation of each set's losses around its fitted function. */
  readonly residualSd: Float64Array;
}

/** 1, z and the products z·z of some columns, each scaled to mean 0 and standard deviation 1; row-major (draw, feature). Constant columns are left out. */
function quadraticFeatures(columns: readonly Float64Array[]): { matrix: Float64Array; features: number } {
  const scaled = columns.flatMap((values) => {
    const mean = meanOf(values);
    const sd = Math.sqrt(meanOf(values.map((value) => (value - mean) ** 2)));
    return sd > 0 ? [values.map((value) => (value - mean) / sd)] : [];
  });
  const products = scaled.flatMap((a, i) =>
    scaled.slice(i).map((b) => a.map((value, d) => value * at(b, d))),
  );
  const draws = columns[0]?.length ?? 0;
  const all = [new Float64Array(draws).fill(1), ...scaled, ...products];
  const matrix = new Float64Array(draws * all.length);
  for (const [f, column] of all.entries())
    for (const [d, value] of column.entries()) matrix[d * all.length + f] = value;
  return { matrix, features: all.length };
}

/** Ridge weight, as a share of the number of draws: it prevents overfitting when many features are fitted to few draws. */
const SHRINK = 0.01;

/** Ridge regression of every set's differences on the features. */
function smoothed(
  { matrix, features }: { readonly matrix: Float64Array; readonly features: number },
  differences: Float64Array,
  sets: number,
  counts: (draw: number) => boolean,
): Smoothed {
  const rows = rowsOf(matrix, features);
  const draws = [...rows.keys()].filter(counts);
  const gram = new Float64Array(features * features);
  const right = Array.from({ length: sets }, () => new Float64Array(features));
  for (const d of draws) {
    const row = at(rows, d);
    for (let f = 0; f < features; f++) {
      const value = row[f]!;
      for (let g = 0; g <= f; g++) gram[f * features + g]! += value * row[g]!;
      for (let k = 1; k < sets; k++) right[k]![f]! += value * differences[d * sets + k]!;
    }
  }
  for (let f = 1; f < features; f++) gram[f * features + f]! += SHRINK * draws.length;
  choleskyInPlace(gram, features, 0);
  for (const own of right) choleskySolveInPlace(gram, features, own);
  const values = new Float64Array(rows.length * sets);
  for (const [d, row] of rows.entries())
    for (let k = 0; k < sets; k++) values[d * sets + k] = innerProduct(row, right[k]!);
  const residualSd = new Float64Array(sets);
  for (let k = 0; k < sets; k++) {
    let squares = 0;
    for (const d of draws) squares += (differences[d * sets + k]! - values[d * sets + k]!) ** 2;
    residualSd[k] = Math.sqrt(squares / Math.max(1, draws.length));
  }
  return { values, draws, residualSd };
}

/** For each outcome the set with the least mean loss, or the first set if the best is within half a standard error of it. */
function choices({ values, draws, residualSd }: Smoothed, { of, count }: Outcomes): Int32Array {
  const sets = residualSd.length;
  const number = new Int32Array(count);
  const sums = new Float64Array(count * sets);
  for (const d of draws) {
    const outcome = of[d]!;
    number[outcome]!++;
    for (let k = 1; k < sets; k++) sums[outcome * sets + k]! += values[d * sets + k]!;
  }
  return number.map((n, outcome) => {
    let [best, least] = [0, 0];
    for (let k = 1; k < sets && n > 0; k++) {
      const surely = at(sums, outcome * sets + k) / n + at(residualSd, k) / (2 * Math.sqrt(n));
      if (surely < least) [best, least] = [k, surely];
    }
    return best;
  });
}

function readingValue(
  { job }: ValueProblem,
  decision: OutcomeDecision,
  taken: readonly SimulatedReading[],
  outcomes: Outcomes,
): ReadingValue {
  const { value, standardError } = decision.after(outcomes);
  const borrowed = taken.some((one) => one.borrowed);
  const pieces = Math.max(...taken.map(({ station }) => station.pieces));
  return {
    stations: taken.map(({ station }) => station),
    readings: taken.map(({ reading }) => reading),
    borrowed,
    standardError,
    changes: value > 0 ? decision.changes(outcomes) : [],
    value: Math.max(0, value),
    cost: job.costs.trial * ((pieces === 0 ? NO_PIECE : pieces) + (borrowed ? FETCHING : 0)),
  };
}

/** Two or three readings of the same trial piece, for the samples whose best single reading is worth most. */
function readTogether(
  problem: ValueProblem,
  decision: OutcomeDecision,
  simulated: readonly SimulatedReading[],
  valued: readonly ReadingValue[],
): ReadingValue[] {
  const bySample = new Map<string, number[]>();
  for (const [i, { station }] of simulated.entries()) {
    const key = `${station.sample.kind} ${sampleName(station.sample)}`;
    bySample.set(key, [...(bySample.get(key) ?? []), i]);
  }
  const net = (i: number): number => at(valued, i).value - at(valued, i).cost;
  const best = (places: readonly number[]): number => places.reduce((a, b) => (net(b) > net(a) ? b : a));
  return [...bySample.values()]
    .map((places) => ({ places, first: best(places) }))
    .sort((a, b) => net(b.first) - net(a.first))
    .slice(0, SAMPLES_TRIED)
    .flatMap(({ places, first }): ReadingValue[] => {
      const coarse = (i: number): Outcomes => grouped(at(simulated, i).shown, OUTCOMES_TOGETHER);
      let taken = [first];
      let now = at(valued, first);
      let outcomes = coarse(first);
      while (taken.length < MOST_TOGETHER) {
        const more = places
          .filter((i) => !taken.includes(i))
          .map((i) => {
            const both = together(outcomes, coarse(i));
            const all = [...taken, i].map((one) => at(simulated, one));
            return { i, both, found: readingValue(problem, decision, all, both) };
          });
        if (more.length === 0) break;
        const next = more.reduce((a, b) =>
          b.found.value - b.found.cost > a.found.value - a.found.cost ? b : a,
        );
        if (next.found.value - next.found.cost < now.value - now.cost + WORTH_ADDING) break;
        [taken, now, outcomes] = [[...taken, next.i], next.found, next.both];
      }
      return taken.length > 1 ? [now] : [];
    });
}

/** The cheapest of the readings that are nearly as informative about a source as the best. */
function tellingReading(
  values: Float64Array,
  valued: readonly ReadingValue[],
  outcomes: readonly Outcomes[],
): ReadingValue | null {
  const told = outcomes.map((one) => toldShare(values, one));
  const most = Math.max(0, ...told);
  if (most < LEAST_TOLD) return null;
  const good = valued.filter((_, i) => at(told, i) >= NEARLY_BEST * most);
  return good.reduce((a, b) => ((b.cost - a.cost || minutesOf(b) - minutesOf(a)) < 0 ? b : a));
}

/** Share of the variance of a source that lies between the groups of outcomes (the correlation ratio), 0 to 1. */
function toldShare(values: Float64Array, { of, count }: Outcomes): number {
  const mean = meanOf(values);
  const number = new Int32Array(count);
  const sums = new Float64Array(count);
  let total = 0;
  for (let d = 0; d < values.length; d++) {
    const [outcome, off] = [of[d]!, values[d]! - mean];
    number[outcome]!++;
    sums[outcome]! += off;
    total += off * off;
  }
  if (!(total > 0)) return 0;
  return (
    sums.reduce((sum, own, outcome) => sum + (own === 0 ? 0 : own ** 2 / at(number, outcome)), 0) / total
  );
}

const minutesOf = ({ stations }: ReadingValue): number =>
  stations.reduce((sum, { minutes, minutesEach }) => sum + minutes + minutesEach, 0);
