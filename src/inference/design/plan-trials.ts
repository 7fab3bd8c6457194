import { refuse } from "../../core/errors.js";
import type { Job, TrialCosts } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import type { Source } from "../../model/sources.js";
import { adjustersOf } from "../decision/adjusters.js";
import { type Moves, noMoves } from "../decision/drawn-cells.js";
import { fitSources, type SourceFit } from "../estimates/fit-sources.js";
import { cellSpecimen } from "../likelihood/specimen.js";
import { type ChosenTrials, chooseTrials, type TrialChoice } from "./choose-trials.js";
import { type Criterion, criterionValue, expectedCovariance, inverseOf } from "./criterion.js";
import { optimalDesign } from "./optimal-design.js";
import { leewaysOf, planSafety, type Safety } from "./plan-safety.js";
import { drawScenarios, gapWeight, SCENARIOS } from "./trial-information.js";
import { type TrialOption, trialOptions } from "./trial-options.js";

/** What a plan is to make small: the uncertainty of the worst gap once what is known has been undone, or that of every source. */
export type PlanAim = "gap" | "all";

/** What a plan of trials is for, and how long it may be. `seed`: whole, ≥ 0, of every draw. */
export interface PlanOptions {
  /** Default `gap`. */
  readonly aim?: PlanAim;
  /** Number of trials to plan at most, whole, 1 or more; default {@link PLANNED}. */
  readonly trials?: number;
  /** Most minutes they may take together, pieces counted; default: what the best by worth per minute come to. */
  readonly minutes?: number;
  /** Chance with which the verdict is to be safe; default {@link SURE}. */
  readonly sure?: number;
  /** Default: the job's. */
  readonly costs?: TrialCosts;
  /** Number of errors the shop might have that are weighed; default {@link SCENARIOS}. */
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
  /** Standard deviation of the worst gap from not knowing the sources, mm. */
  readonly gapAfter: number;
  /** Mean standard deviation of a source as a share of what it was trusted to (geometric mean over all combinations). */
  readonly shareAfter: number;
}

/** The trials to cut next. */
export interface TrialPlan {
  readonly job: Job;
  readonly aim: PlanAim;
  readonly sources: readonly Source[];
  /** How many readings it starts from. */
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
  /** What the plan gains as a share of the most that any trials taking as many minutes could. */
  readonly efficiency: number;
  /** How sure the verdict is. */
  readonly safety: Safety;
  /** Rows for the table of trials, still without what is read. */
  readonly readings: readonly Reading[];
}

export const PLANNED = 6;
export const SURE = 0.9;
/**
 * Which trials to cut next, from what is known now: the job's own tolerances before any data, and what the readings say besides once there are some.
 *
 * Uncertainties to come are those of the linearised fit, averaged over errors the shop might have; the closing of joints enters through them.
 *
 * @throws RangeError unless 1 or more trials are to be planned
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
  const fit = fitSources(job, readings);
  const { sources, covariance } = fit;
  const specimen = cellSpecimen(job, fit.likelihood.cells);
  const p = sources.length;
  const weight = gapWeight(job, specimen, sources, fit, { moves: undoing(job, fit), seed });
  const byGap: Criterion = { kind: "weighted", weight };
  const criterion: Criterion = aim === "gap" ? byGap : { kind: "all" };
  const base = inverseOf(
    covariance.map((x, k) => x / (sources[Math.floor(k / p)]!.priorSd * sources[k % p]!.priorSd)),
    p,
  )!;
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
  const prefix = freePrefix(readings);
  const gapOf = (sums: readonly Float64Array[]): number => Math.sqrt(criterionValue(sums, p, byGap));
  const shareOf = (sums: readonly Float64Array[]): number =>
    Math.exp(criterionValue(sums, p, { kind: "all" }) / (2 * p));
  const planned = chosen.kinds.map((kind, k): PlannedTrial => {
    const option = kinds[kind]!;
    const trial = `${prefix}${k + 1}`;
    return { option, trial, gapAfter: gapOf(known[k + 1]!), shareAfter: shareOf(known[k + 1]!) };
  });
  onProgress("asking when the verdict is safe");
  const leeways = leewaysOf(job, specimen, sources, seed);
  return {
    ...{ job, aim, sources, trials: planned },
    quickest: options.minutes !== undefined && options.minutes < quickest ? quickest : null,
    readingsBefore: readings.length,
    gapBefore: gapOf(known[0]!),
    shareBefore: shareOf(known[0]!),
    minutes: chosen.cost,
    pieces: planned.reduce((sum, { option }) => sum + option.pieces, 0),
    uncertainties: uncertaintiesOf(sources, known[0]!, known.at(-1)!),
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

/** The moves that come nearest to undoing what is thought of each source, with the settings at hand. */
function undoing(job: Job, { sources }: SourceFit): Moves {
  const moves = noMoves(sources.length);
  for (const { source, settings, resetSd } of adjustersOf(job, sources)) {
    const error = sources[source]!.current.estimate;
    const { change } = settings.reduce((a, b) =>
      Math.abs(b.change + error) < Math.abs(a.change + error) ? b : a,
    );
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
function knowledgeAfter({ base, information }: TrialChoice, plan: readonly number[]): Float64Array[][] {
  const out = [base.map((matrix) => matrix.slice())];
  for (const kind of plan)
    out.push(out.at(-1)!.map((sum, s) => sum.map((x, k) => x + information[kind]![s]![k]!)));
  return out;
}

function uncertaintiesOf(
  sources: readonly Source[],
  before: readonly Float64Array[],
  after: readonly Float64Array[],
): TrialPlan["uncertainties"] {
  const [then, later] = [before, after].map((sums) => expectedCovariance(sources, sums)) as [
    Float64Array,
    Float64Array,
  ];
  const p = sources.length;
  return sources.map((_, i) => ({
    before: Math.sqrt(then[i * p + i]!),
    after: Math.sqrt(later[i * p + i]!),
  }));
}

/** What chosen trials gain as a share of the most that any choice among the same kinds could for the same cost: of weights that need not be whole. */
export function planEfficiency(choice: TrialChoice, { kinds, values, cost }: ChosenTrials): number {
  if (kinds.length === 0) return 1;
  const start = new Float64Array(choice.costs.length);
  for (const kind of kinds) start[kind]! += choice.costs[kind]! / cost;
  const gained = values[0]! - values.at(-1)!;
  const { bound } = optimalDesign(
    {
      unknowns: choice.unknowns,
      // A minute's worth of each kind, times the minutes there are.
      candidates: choice.information.map((own, i) =>
        own.map((matrix) => matrix.map((x) => (x * cost) / choice.costs[i]!)),
      ),
      criterion: choice.criterion,
      base: choice.base[0]!,
    },
    { start, tolerance: BOUND_TOLERANCE * gained, mostRounds: BOUND_ROUNDS },
  );
  return gained / (values[0]! - bound);
}

/** The bound is known to this share of what the plan gains, or as well as so many rounds find it. */
const BOUND_TOLERANCE = 0.01;
const BOUND_ROUNDS = 12;
