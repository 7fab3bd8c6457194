import { addScaled, at, plus } from "../../core/numeric/dense.js";
import { type Criterion, criterionValue } from "./criterion.js";

/** Kinds of trial to choose from. */
export interface TrialChoice {
  readonly unknowns: number;
  /** Information that one trial of each kind adds, one matrix (row-major) for each scenario. */
  readonly information: readonly (readonly Float64Array[])[];
  /** What one trial of each kind costs, > 0. */
  readonly costs: readonly number[];
  readonly criterion: Criterion;
  /** Information before any trial, one matrix for each scenario; it determines every unknown by itself. */
  readonly base: readonly Float64Array[];
}

export interface ChooseLimits {
  /** Maximum number of trials. */
  readonly trials: number;
  /** Maximum total cost; default: the cost of the plan that is greedy per unit of cost. */
  readonly cost?: number;
}

/** The chosen trials, the one with the most value per unit of cost first. */
export interface ChosenTrials {
  /** Index of the kind of each trial. */
  readonly kinds: readonly number[];
  /** The criterion before the first trial, and after each. */
  readonly values: readonly number[];
  readonly cost: number;
}

/** Least improvement of the criterion, as a share of the whole gain, for which a plan is changed. */
const LEAST_IMPROVEMENT = 1e-6;
const MOST_ROUNDS = 50;

/**
 * The trials that lower the criterion most within the limits. Two greedy plans, one by decrease per cost and one by decrease alone, are each improved by an exchange search: one or two trials are
 * removed and the plan is filled again, until no exchange lowers the criterion; the better plan is returned.
 */
export function chooseTrials(choice: TrialChoice, { trials, cost }: ChooseLimits): ChosenTrials {
  const byRatio = greedy(choice, trials, cost ?? Number.POSITIVE_INFINITY, PER_COST);
  const limit = cost ?? costOf(choice, byRatio);
  const byFall = greedy(choice, trials, limit, BY_ITSELF);
  const [a, b] = [improve(choice, byRatio, trials, limit), improve(choice, byFall, trials, limit)];
  return inOrder(choice, planValue(choice, a) <= planValue(choice, b) ? a : b);
}

const costOf = ({ costs }: TrialChoice, plan: readonly number[]): number =>
  plan.reduce((sum, i) => sum + at(costs, i), 0);

function sumsOf({ base, information }: TrialChoice, plan: readonly number[]): Float64Array[] {
  return base.map((matrix, s) => {
    const sum = matrix.slice();
    for (const i of plan) addScaled(sum, at(at(information, i), s), 1);
    return sum;
  });
}

/** Information after one more trial, one matrix for each scenario. */
export const withTrial = (sums: readonly Float64Array[], own: readonly Float64Array[]): Float64Array[] =>
  sums.map((sum, s) => plus(sum, at(own, s)));

/** The criterion after a plan. */
export const planValue = (choice: TrialChoice, plan: readonly number[]): number =>
  criterionValue(sumsOf(choice, plan), choice.unknowns, choice.criterion);

type Score = (fall: number, cost: number) => number;
const PER_COST: Score = (fall, cost) => fall / cost;
const BY_ITSELF: Score = (fall) => fall;

/** Fills a plan by repeatedly adding the trial with the highest score. */
function greedy(
  choice: TrialChoice,
  trials: number,
  limit: number,
  score: Score,
  start: readonly number[] = [],
): number[] {
  const { information, costs, unknowns, criterion } = choice;
  const plan = [...start];
  let sums = sumsOf(choice, plan);
  let left = limit - costOf(choice, plan);
  while (plan.length < trials) {
    const now = criterionValue(sums, unknowns, criterion);
    let [best, most] = [-1, 0];
    for (const [i, own] of information.entries()) {
      const cost = at(costs, i);
      if (cost > left * (1 + ROUNDING)) continue;
      const value = score(now - criterionValue(sums, unknowns, criterion, own), cost);
      if (value > most * (1 + ROUNDING)) [best, most] = [i, value];
    }
    if (best < 0) break;
    plan.push(best);
    left -= at(costs, best);
    sums = withTrial(sums, at(information, best));
  }
  return plan;
}

/** Relative difference below which kinds count as equal; the first of them is taken. */
const ROUNDING = 1e-9;

function improve(choice: TrialChoice, start: readonly number[], trials: number, limit: number): number[] {
  const before = planValue(choice, []);
  let plan = [...start];
  let value = planValue(choice, plan);
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const least = Math.max(0, before - value) * LEAST_IMPROVEMENT;
    let [bestPlan, bestValue] = [plan, value - least];
    for (const kept of thinned(plan)) {
      for (const score of [PER_COST, BY_ITSELF]) {
        const refilled = greedy(choice, trials, limit, score, kept);
        const there = planValue(choice, refilled);
        if (there < bestValue) [bestPlan, bestValue] = [refilled, there];
      }
    }
    if (bestPlan === plan) break;
    [plan, value] = [bestPlan, bestValue];
  }
  return plan;
}

/** The plan itself, and the plan without each one and each pair of its trials; trials of the same kind are interchangeable. */
function thinned(plan: readonly number[]): number[][] {
  const out = new Map<string, number[]>([["all", [...plan]]]);
  for (let a = 0; a < plan.length; a++) {
    for (let b = a; b < plan.length; b++) {
      const kept = plan.filter((_, k) => k !== a && k !== b);
      out.set([...kept].sort((x, y) => x - y).join(" "), kept);
    }
  }
  return [...out.values()];
}

/** The plan's trials, ordered so that the one with the largest decrease per cost always comes next. */
function inOrder(choice: TrialChoice, plan: readonly number[]): ChosenTrials {
  const { information, costs, unknowns, criterion } = choice;
  const left = [...plan];
  const kinds: number[] = [];
  let sums = sumsOf(choice, []);
  let value = criterionValue(sums, unknowns, criterion);
  const values = [value];
  while (left.length > 0) {
    const score = left.map(
      (i) => (value - criterionValue(sums, unknowns, criterion, at(information, i))) / at(costs, i),
    );
    const place = score.indexOf(Math.max(...score));
    const kind = at(left, place);
    left.splice(place, 1);
    kinds.push(kind);
    sums = withTrial(sums, at(information, kind));
    value = criterionValue(sums, unknowns, criterion);
    values.push(value);
  }
  return { kinds, values, cost: costOf(choice, kinds) };
}
