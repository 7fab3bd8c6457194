import { refuse } from "../../core/errors.js";
import { at, diagonalOf } from "../../core/numeric/dense.js";
import type { Job, TrialCosts } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { Source } from "../../model/sources.js";
import { cardDecision } from "../card-decision.js";
import { adjustersOf, nearestSetting } from "../decision/adjusters.js";
import { movesOf } from "../decision/choose-moves.js";
import { decideMoves } from "../decision/decide-moves.js";
import type { Moves } from "../decision/drawn-cells.js";
import { fitSources, type SourceFit } from "../estimates/fit-sources.js";
import { type JobPosterior, jobPosterior, withScatters } from "../job-posterior.js";
import { cellSpecimen } from "../likelihood/specimen.js";
import { type ChosenTrials, chooseTrials, type TrialChoice, withTrial } from "./choose-trials.js";
import { type Criterion, criterionValue, expectedCovariance, inPriorUnits, inverseOf } from "./criterion.js";
import { namedReadings } from "./next-readings.js";
import { optimalDesign } from "./optimal-design.js";
import { leewaysOf, planSafety, type Safety } from "./plan-safety.js";
import { drawScenarios, gapWeight, SCENARIOS, trialInformation } from "./trial-information.js";
import { type OptionsProblem, type TrialOption, trialOptions } from "./trial-options.js";
import type { ReadingValue } from "./value-of-reading.js";

/** What a plan minimises: the uncertainty of the widest gap after known errors are corrected, or that of every source. */
export type PlanAim = "gap" | "all";

/** Aim and limits of a plan of trials. `seed`: seed of every draw, an integer ≥ 0. */
export interface PlanOptions {
  /** Default `gap`. */
  readonly aim?: PlanAim;
  /** Maximum number of trials, an integer ≥ 1; default {@link PLANNED}. */
  readonly trials?: number;
  /** Maximum total time in minutes, cutting the pieces included; default: the time of the plan that is greedy per minute. */
  readonly minutes?: number;
  /** Wanted probability that the verdict is safe, 0 to 1; default {@link SURE}. */
  readonly sure?: number;
  /** Costs of trials; default: the job's. */
  readonly costs?: TrialCosts;
  /** Number of scenarios to average over; default {@link SCENARIOS}. */
  readonly scenarios?: number;
  /** Seed of every draw, an integer ≥ 0; default 1. */
  readonly seed?: number;
  /** The job's posterior given these readings and this seed, if it has already been computed. */
  readonly posterior?: JobPosterior;
  readonly onProgress?: (step: string) => void;
}

/** One trial of a plan, and the expected state of knowledge after it and the trials before it. */
export interface PlannedTrial {
  readonly option: TrialOption;
  /** Name in the table of trials. */
  readonly trial: string;
  /** Standard deviation of the widest gap that is due to the uncertainty of the sources, mm. */
  readonly gapAfter: number;
  /** Mean standard deviation of a source as a share of its prior's (geometric mean over all combinations). */
  readonly shareAfter: number;
}

/** The trials to cut next. */
export interface TrialPlan {
  readonly job: Job;
  /** The posterior before any of the trials: all results below are computed from it. */
  readonly posterior: JobPosterior;
  readonly aim: PlanAim;
  readonly sources: readonly Source[];
  /** Number of readings so far. */
  readonly readingsBefore: number;
  readonly trials: readonly PlannedTrial[];
  /** If no trial fits into the allowed time: the minutes of the quickest one; otherwise `null`. */
  readonly quickest: number | null;
  readonly gapBefore: number;
  readonly shareBefore: number;
  /** Minutes of the whole plan, cutting the pieces included, and the number of its pieces. */
  readonly minutes: number;
  readonly pieces: number;
  /** Expected standard uncertainty of each source, before and after, rad or mm. */
  readonly uncertainties: readonly { readonly before: number; readonly after: number }[];
  /** The plan's gain as a share of the largest possible gain in as many minutes (a bound). */
  readonly efficiency: number;
  /** Safety of the verdict. */
  readonly safety: Safety;
  /**
   * The readings that the card asks for before anything is moved, the most valuable first; the plan begins with those that the shop's own instruments can take. If there are no readings, and therefore
   * no card: the reading with the highest value, if an instrument has to be borrowed for it.
   */
  readonly beforeMoving: readonly ReadingValue[];
  /** Rows for the table of trials, still without what is read. */
  readonly readings: readonly Reading[];
}

export const PLANNED = 6;
export const SURE = 0.9;
/**
 * Optimal design of the next trials. The information matrix of the current posterior (of the prior if there are no readings) plus the expected Fisher information of
 * candidate trials gives the expected covariance; the plan minimises its weighted trace (`gap`: variance of the widest gap) or −log det (`all`). Information is averaged over
 * scenarios drawn from the posterior, which accounts for joints that open or close.
 *
 * @throws RangeError unless 1 or more trials are to be planned
 * @throws UserError (code "command") when the readings are so far from what the job states that no conclusion can be drawn from them
 * @example
 * planTrials(job, [], { trials: 1, scenarios: 8 }).trials.length // 1
 */
export function planTrials(
  job: Job,
  readings: readonly Reading[] = [],
  options: PlanOptions = {},
): TrialPlan {
  const { aim = "gap", trials = PLANNED, sure = SURE, costs = job.trialCosts, seed = 1 } = options;
  const { onProgress = () => {} } = options;
  if (!(Number.isInteger(trials) && trials >= 1))
    refuse("the number of trials is out of range", "whole, 1 or more", trials, "planTrials");
  onProgress(readings.length > 0 ? "fitting what was read so far" : "starting from what the job trusts");
  const posterior = options.posterior ?? jobPosterior(job, readings, { seed });
  const fit = posterior.fit ?? fitSources(job, [], { seed });
  const { sources, covariance } = fit;
  const specimen = cellSpecimen(job, fit.target.cells);
  const p = sources.length;
  const weight = gapWeight(job, specimen, sources, fit, { moves: undoing(job, fit), seed });
  const byGap: Criterion = { kind: "weighted", weight };
  const criterion: Criterion = aim === "gap" ? byGap : { kind: "all" };
  const base = inverseOf(inPriorUnits(covariance, sources), p);
  if (base === null)
    throw new RangeError("The covariance of the sources is not positive definite; in planTrials.");
  onProgress("asking what the card waits for");
  const beforeMoving = readingsBeforeMoves(posterior, fit, seed);
  onProgress("weighing every trial that could be cut");
  const scenarios = drawScenarios(fit, options.scenarios ?? SCENARIOS, seed);
  const problem = { unknowns: p, scenarios, base, criterion, seed, cells: fit.target.cells };
  const first = firstTrials(job, costs, problem, beforeMoving, options.minutes).slice(0, trials);
  const kinds = [...first, ...trialOptions(job, costs, problem)];
  const quickest = Math.min(...kinds.map(({ minutes }) => minutes));
  const choice: TrialChoice = {
    unknowns: p,
    information: kinds.map(({ information }) => information),
    costs: kinds.map(({ minutes }) => minutes),
    criterion,
    base: scenarios.map(() => base),
  };
  onProgress("choosing among them");
  const chosen = chooseAfter(choice, first.length, trials, options.minutes);
  const known = knowledgeAfter(choice, chosen.kinds);
  const [atFirst, atLast] = [at(known, 0), at(known, chosen.kinds.length)];
  const prefix = freePrefix(readings);
  const gapOf = (sums: readonly Float64Array[]): number => Math.sqrt(criterionValue(sums, p, byGap));
  const shareOf = (sums: readonly Float64Array[]): number =>
    Math.exp(criterionValue(sums, p, { kind: "all" }) / (2 * p));
  const planned = chosen.kinds.map((kind, k): PlannedTrial => {
    const after = at(known, k + 1);
    return {
      option: at(kinds, kind),
      trial: `${prefix}${k + 1}`,
      gapAfter: gapOf(after),
      shareAfter: shareOf(after),
    };
  });
  onProgress("checking when the advice is safe");
  const leeways = leewaysOf(job, specimen, sources, seed);
  return {
    job,
    posterior,
    aim,
    sources,
    beforeMoving,
    trials: planned,
    quickest: options.minutes !== undefined && options.minutes < quickest ? quickest : null,
    readingsBefore: readings.length,
    gapBefore: gapOf(atFirst),
    shareBefore: shareOf(atFirst),
    minutes: chosen.cost,
    pieces: planned.reduce((sum, { option }) => sum + option.pieces, 0),
    uncertainties: uncertaintiesOf(sources, atFirst, atLast),
    efficiency: planEfficiency(choice, chosen),
    safety: planSafety({ choice, kinds, sources, leeways, sure, seed }, chosen.kinds),
    readings: planned.flatMap(({ option, trial }) =>
      option.readings.map(
        (reading, i): Reading => ({
          ...reading,
          id: `${trial}-${i + 1}`,
          trial,
          value: null,
          low: Number.NEGATIVE_INFINITY,
          high: Number.POSITIVE_INFINITY,
        }),
      ),
    ),
  };
}

/** The readings that the card asks for before anything is moved; a plan must not ask for different ones. */
function readingsBeforeMoves(posterior: JobPosterior, fit: SourceFit, seed: number): ReadingValue[] {
  const { job, residuals, goodness } = posterior;
  const specimen = cellSpecimen(withScatters(job, posterior), fit.target.cells);
  if (posterior.fit) {
    const { decision } = cardDecision(job, fit, specimen, { seed, residuals, goodness });
    return namedReadings(decision.advice).flatMap(({ reading, of }) =>
      of.some(({ readPays }) => readPays) ? [reading] : [],
    );
  }
  const { readFirst } = decideMoves(job, fit, specimen, { seed });
  return readFirst?.borrowed ? [readFirst] : [];
}

/** Trials with the readings that the card asks for, as far as the job's own instruments can take them and the time allows. */
function firstTrials(
  job: Job,
  costs: TrialCosts,
  { scenarios, seed, cells }: Pick<OptionsProblem, "scenarios" | "seed" | "cells">,
  beforeMoving: readonly ReadingValue[],
  minutesLeft = Number.POSITIVE_INFINITY,
): TrialOption[] {
  let left = minutesLeft;
  return beforeMoving.flatMap(({ stations, readings }): TrialOption[] => {
    const own = readings.every(({ instrument, what }) =>
      job.instruments.some(({ name, reads }) => name === instrument && reads.includes(what)),
    );
    if (!own) return [];
    const pieces = Math.max(...stations.map((station) => station.pieces));
    const minutes = stations.reduce(
      (sum, station) => sum + station.minutes + station.minutesEach,
      pieces * costs.piece,
    );
    if (minutes > left) return [];
    left -= minutes;
    const information = trialInformation(job, readings, scenarios, seed, cells);
    return [
      {
        sample: at(stations, 0).sample,
        readings,
        pieces,
        minutes,
        stops: stations.map((station, i) => ({ station, readings: [at(readings, i)] })),
        information: information.of([...readings.keys()]),
      },
    ];
  });
}

/** Takes each of the first kinds once, then the best choice among all kinds. */
function chooseAfter(choice: TrialChoice, first: number, trials: number, minutes?: number): ChosenTrials {
  const given = Array.from({ length: first }, (_, kind) => kind);
  const spent = given.reduce((sum, kind) => sum + at(choice.costs, kind), 0);
  const after = knowledgeAfter(choice, given);
  const base = at(after, first);
  const chosen = chooseTrials(
    { ...choice, base },
    { trials: trials - first, ...(minutes === undefined ? {} : { cost: minutes - spent }) },
  );
  const values = after.map((sums) => criterionValue(sums, choice.unknowns, choice.criterion));
  return {
    kinds: [...given, ...chosen.kinds],
    values: [...values, ...chosen.values.slice(1)],
    cost: spent + chosen.cost,
  };
}

/** The available settings nearest to undoing each current estimate. */
function undoing(job: Job, { sources }: SourceFit): Moves {
  const adjusters = adjustersOf(job, sources);
  const choice = adjusters.map(({ source, settings }) =>
    nearestSetting(settings, -at(sources, source).current.estimate),
  );
  return movesOf(sources.length, adjusters, choice);
}

/** New trials are named n1, n2 …, or with more letters if the table already has such names. */
function freePrefix(readings: readonly Reading[]): string {
  const taken = readings.flatMap(({ id, trial }) => [id, trial]);
  let prefix = "n";
  while (taken.some((name) => name.startsWith(prefix) && /^\d/.test(name.slice(prefix.length))))
    prefix += "n";
  return prefix;
}

/** Information of each scenario before and after each of the trials. */
function knowledgeAfter(
  { base, information }: TrialChoice,
  plan: readonly number[],
): (readonly Float64Array[])[] {
  let sums = base;
  const out = [sums];
  for (const kind of plan) {
    sums = withTrial(sums, at(information, kind));
    out.push(sums);
  }
  return out;
}

function uncertaintiesOf(
  sources: readonly Source[],
  before: readonly Float64Array[],
  after: readonly Float64Array[],
): TrialPlan["uncertainties"] {
  const deviations = (sums: readonly Float64Array[]): Float64Array =>
    diagonalOf(expectedCovariance(sources, sums)).map(Math.sqrt);
  const later = deviations(after);
  return Array.from(deviations(before), (sd, i) => ({ before: sd, after: at(later, i) }));
}

/** Gain of the chosen trials as a share of the bound for the same cost; the bound is the optimum over fractional numbers of trials of the same kinds. */
export function planEfficiency(choice: TrialChoice, { kinds, values, cost }: ChosenTrials): number {
  if (kinds.length === 0) return 1;
  const start = new Float64Array(choice.costs.length);
  for (const kind of kinds) start[kind] = at(start, kind) + at(choice.costs, kind) / cost;
  const [before, after] = [at(values, 0), at(values, kinds.length)];
  const gained = before - after;
  const { bound } = optimalDesign(
    {
      unknowns: choice.unknowns,
      // Information per minute of each kind, multiplied by the available minutes.
      candidates: choice.information.map((own, i) =>
        own.map((matrix) => matrix.map((x) => (x * cost) / at(choice.costs, i))),
      ),
      criterion: choice.criterion,
      base: at(choice.base, 0),
    },
    { start, tolerance: BOUND_TOLERANCE * gained, mostRounds: BOUND_ROUNDS },
  );
  return gained / (before - bound);
}

/** Accuracy of the bound as a share of the gain, and the maximum number of rounds for it. */
const BOUND_TOLERANCE = 0.01;
const BOUND_ROUNDS = 12;
