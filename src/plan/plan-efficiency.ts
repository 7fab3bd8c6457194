import type { ChosenTrials, TrialChoice } from "./choose-trials.js";
import { optimalDesign } from "./optimal-design.js";

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
