import { refuse } from "../../core/errors.js";
import { at, diagonalOf } from "../../core/numeric/dense.js";
import type { Job, TrialCosts } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { Source } from "../../model/sources.js";
import { adjustersOf, nearestSetting } from "../decision/adjusters.js";
import { type Moves, noMoves } from "../decision/drawn-cells.js";
import { fitSources, type SourceFit } from "../estimates/fit-sources.js";
import { cellSpecimen } from "../likelihood/specimen.js";
import { type ChosenTrials, chooseTrials, type TrialChoice, withTrial } from "./choose-trials.js";
import { type Criterion, criterionValue, expectedCovariance, inPriorUnits, inverseOf } from "./criterion.js";
import { optimalDesign } from "./optimal-design.js";
import { leewaysOf, planSafety, type Safety } from "./plan-safety.js";
import { drawScenarios, gapWeight, SCENARIOS } from "./trial-information.js";
import { type TrialOption, trialOptions } from "./trial-options.js";

/** What a plan minimises: the uncertainty of the widest gap after known errors are corrected, or that of every source. */
export type PlanAim = "gap" | "all";

/** What a plan of trials is for, and how long it may be. `seed`: whole, ≥ 0, of every draw. */
export interface PlanOptions {
  /** Default `gap`. */
  readonly aim?: PlanAim;
  /** Number of trials to plan at most, whole, 1 or more; default {@link PLANNED}. */
  readonly trials?: number;
  /** Most minutes they may take together, pieces counted; default: what the greedy choice per minute comes to. */
  readonly minutes?: number;
  /** Wanted probability that the verdict is safe, 0 to 1; default {@link SURE}. */
  readonly sure?: number;
  /** Default: the job's. */
  readonly costs?: TrialCosts;
  /** Number of scenarios to average over; default {@link SCENARIOS}. */
  readonly scenarios?: number;
  /** Seed of every draw, whole, ≥ 0; default 1. */
  readonly seed?: number;
  readonly onProgress?: (step: string) => void;
}

/** One trial of a plan, and what is expected to be known after it and those before it. */
export interface PlannedTrial {
  readonly option: TrialOption;
  /** Name in the table of trials. */
  readonly trial: string;
  /** Standard deviation of the widest gap from not knowing the sources, mm. */
  readonly gapAfter: number;
  /** Mean standard deviation of a source as a share of its prior's (geometric mean over all combinations). */
  readonly shareAfter: number;
}

/** The trials to cut next. */
export interface TrialPlan {
  readonly job: Job;
  readonly aim: PlanAim;
  readonly sources: readonly Source[];
  /** Number of readings so far. */
  readonly readingsBefore: number;
  readonly trials: readonly PlannedTrial[];
  /** Minutes of the quickest trial where none is as quick as was allowed; else `null`. */
  readonly quickest: number | null;
  readonly gapBefore: number;
  readonly shareBefore: number;
  /** Minutes of the whole plan, pieces counted, and its pieces. */
  readonly minutes: number;
  readonly pieces: number;
  /** Expected standard uncertainty of each source, before and after, rad or mm. */
  readonly uncertainties: readonly { readonly before: number; readonly after: number }[];
  /** The plan's gain as a share of the largest possible gain in as many minutes (a bound). */
  readonly efficiency: number;
  /** Safety of the verdict. */
  readonly safety: Safety;
  /** Rows for the table of trials, still without what is read. */
  readonly readings: readonly Reading[];
}

export const PLANNED = 6;
export const SURE = 0.9;
/**
 * Optimal design of the next trials. The information matrix of the current posterior (the prior where there are no readings) plus the expected Fisher information of
 * candidate trials gives the covariance to come; the plan minimises its weighted trace (`gap`: variance of the widest gap) or −log det (`all`). Information is averaged over
 * scenarios drawn from the posterior, through which the closing of joints enters.
 *
 * @throws RangeError unless 1 or more trials are to be planned
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
  const fit = fitSources(job, readings, { seed });
  const { sources, covariance } = fit;
  const specimen = cellSpecimen(job, fit.likelihood.cells);
  const p = sources.length;
  const weight = gapWeight(job, specimen, sources, fit, { moves: undoing(job, fit), seed });
  const byGap: Criterion = { kind: "weighted", weight };
  const criterion: Criterion = aim === "gap" ? byGap : { kind: "all" };
  const base = inverseOf(inPriorUnits(covariance, sources), p);
  if (base === null)
    throw new RangeError("The covariance of the sources is not positive definite; in planTrials.");
  onProgress("weighing every trial that could be cut");
  const scenarios = drawScenarios(fit, options.scenarios ?? SCENARIOS, seed);
  const kinds = trialOptions(job, costs, {
    unknowns: p,
    scenarios,
    base,
    criterion,
    seed,
    cells: fit.likelihood.cells,
  });
  const quickest = Math.min(...kinds.map(({ minutes }) => minutes));
  const choice: TrialChoice = {
    unknowns: p,
    information: kinds.map(({ information }) => information),
    costs: kinds.map(({ minutes }) => minutes),
    criterion,
    base: scenarios.map(() => base),
  };
  onProgress("choosing among them");
  const chosen = chooseTrials(choice, {
    trials,
    ...(options.minutes === undefined ? {} : { cost: options.minutes }),
  });
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
    ...{ job, aim, sources, trials: planned },
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
          ...{ id: `${trial}-${i + 1}`, trial, value: null },
          ...{ low: Number.NEGATIVE_INFINITY, high: Number.POSITIVE_INFINITY },
        }),
      ),
    ),
  };
}

/** The available settings nearest to undoing each current estimate. */
function undoing(job: Job, { sources }: SourceFit): Moves {
  const moves = noMoves(sources.length);
  for (const { source, settings, resetSd } of adjustersOf(job, sources)) {
    const { change } = nearestSetting(settings, -at(sources, source).current.estimate);
    if (change === 0) continue;
    moves.change[source] = change;
    moves.resetSd[source] = resetSd;
  }
  return moves;
}

/** New trials are named n1, n2 …, or with more letters where the table has such names. */
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

/** Gain of the chosen trials as a share of the bound for the same cost: the optimum over fractional numbers of the same kinds. */
export function planEfficiency(choice: TrialChoice, { kinds, values, cost }: ChosenTrials): number {
  if (kinds.length === 0) return 1;
  const start = new Float64Array(choice.costs.length);
  for (const kind of kinds) start[kind] = at(start, kind) + at(choice.costs, kind) / cost;
  const [before, after] = [at(values, 0), at(values, kinds.length)];
  const gained = before - after;
  const { bound } = optimalDesign(
    {
      unknowns: choice.unknowns,
      // Information per minute of each kind, times the available minutes.
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

/** Accuracy of the bound as a share of the gain, and the most rounds spent on it. */
const BOUND_TOLERANCE = 0.01;
const BOUND_ROUNDS = 12;
