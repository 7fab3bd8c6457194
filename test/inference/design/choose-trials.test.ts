import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { chooseTrials, planValue, type TrialChoice } from "../../../src/inference/design/choose-trials.js";
import { optimalDesign } from "../../../src/inference/design/optimal-design.js";
import { longIt } from "../../tools/longer.js";

/** Random kinds of trial, each of rank one or two in three unknowns, over two scenarios. */
function randomChoice(seed: number, kinds: number, weighted: boolean, costly: boolean): TrialChoice {
  const stream = createStream(seed);
  const p = 3;
  const rank = (r: number): Float64Array => {
    const out = new Float64Array(p * p);
    for (let k = 0; k < r; k++) {
      const f = stream.fill(new Float64Array(p));
      for (let i = 0; i < p; i++) for (let j = 0; j < p; j++) out[i * p + j]! += 4 * f[i]! * f[j]!;
    }
    return out;
  };
  const unit = Float64Array.of(1, 0, 0, 0, 1, 0, 0, 0, 1);
  return {
    unknowns: p,
    information: Array.from({ length: kinds }, () => [rank(1 + stream.integer(2)), rank(1)]),
    costs: Array.from({ length: kinds }, () => (costly ? 1 + stream.integer(5) : 1)),
    criterion: weighted ? { kind: "weighted", weight: rank(2) } : { kind: "all" },
    base: [unit, unit],
  };
}

/** Every choice of at most so many trials within the cost. */
function everyPlan(choice: TrialChoice, most: number, limit: number): number[][] {
  const plans: number[][] = [[]];
  const grow = (plan: number[], from: number, left: number): void => {
    if (plan.length === most) return;
    for (let i = from; i < choice.costs.length; i++) {
      if (choice.costs[i]! > left) continue;
      plans.push([...plan, i]);
      grow([...plan, i], i, left - choice.costs[i]!);
    }
  };
  grow([], 0, limit);
  return plans;
}

describe("the choice of trials against every choice there is", () => {
  it.each([
    ["all unknowns, equal costs", false, false],
    ["a weighted variance, equal costs", true, false],
    ["all unknowns, unequal costs", false, true],
    ["a weighted variance, unequal costs", true, true],
  ])("%s", (_, weighted, costly) => {
    let exact = 0;
    const cases = 40;
    for (let seed = 1; seed <= cases; seed++) {
      const choice = randomChoice(seed, 6, weighted, costly);
      const limits = costly ? { trials: 4, cost: 9 } : { trials: 4 };
      const chosen = chooseTrials(choice, limits);
      const best = Math.min(...everyPlan(choice, 4, limits.cost ?? 4).map((plan) => planValue(choice, plan)));
      const [before, ours] = [chosen.values[0]!, chosen.values.at(-1)!];
      expect(chosen.cost).toBeLessThanOrEqual((limits.cost ?? 4) + 1e-9);
      // A search by swaps may end short of the best; by how much is what this holds it to.
      expect((before - ours) / (before - best)).toBeGreaterThan(0.98);
      if (ours - best < 1e-9) exact++;
    }
    expect(exact).toBeGreaterThanOrEqual(0.9 * cases);
  });

  it("would be seen to fall short when it is only greedy by worth", () => {
    // One dear trial is worth 1.5, and leaves no room for two cheap ones worth more together.
    const diagonal = (a: number, b: number) => Float64Array.of(a, 0, 0, b);
    const choice: TrialChoice = {
      unknowns: 2,
      information: [[diagonal(3, 1)], [diagonal(6, 0)], [diagonal(0, 6)]],
      costs: [2, 1, 1],
      criterion: { kind: "all" },
      base: [diagonal(1, 1)],
    };
    const chosen = chooseTrials(choice, { trials: 2, cost: 2 });
    expect([...chosen.kinds].sort()).toEqual([1, 2]);
    expect(chosen.values.at(-1)).toBeCloseTo(-Math.log(49), 12);
  });

  longIt("stays above the bound of weights that need not be whole", () => {
    for (let seed = 50; seed < 60; seed++) {
      const choice = randomChoice(seed, 8, true, false);
      const trials = 5;
      const chosen = chooseTrials(choice, { trials });
      const { bound } = optimalDesign({
        unknowns: 3,
        candidates: choice.information,
        criterion: choice.criterion,
        base: choice.base[0]!,
        total: trials,
      });
      expect(chosen.values.at(-1)!).toBeGreaterThanOrEqual(bound - 1e-9);
    }
  });
});

describe("the order and the limits of a choice", () => {
  const choice = randomChoice(7, 6, true, true);

  it("lets each trial lower the criterion", () => {
    const { values } = chooseTrials(choice, { trials: 5 });
    for (const [k, value] of values.entries()) if (k > 0) expect(value).toBeLessThan(values[k - 1]!);
  });

  it("chooses nothing where nothing fits", () => {
    expect(chooseTrials(choice, { trials: 3, cost: 0.5 })).toMatchObject({ kinds: [], cost: 0 });
    expect(chooseTrials(choice, { trials: 0 }).kinds).toEqual([]);
  });

  it("does not choose what tells nothing", () => {
    const nothing = choice.information.map((own) => own.map((matrix) => matrix.map(() => 0)));
    expect(chooseTrials({ ...choice, information: nothing }, { trials: 3 }).kinds).toEqual([]);
  });
});
