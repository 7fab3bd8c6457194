import { describe, expect, it } from "vitest";
import { normalCdf, normalSurvival } from "../../../src/core/numeric/normal.js";
import { type ForecastSources, forecastSources } from "../../../src/inference/forecast/forecast-sources.js";
import {
  BEYOND,
  BlockTally,
  chanceFrom,
  type Estimated,
  GapCounts,
  quantileFrom,
} from "../../../src/inference/forecast/tally-blocks.js";
import type { Job } from "../../../src/model/job/job.js";
import { createKernel } from "../../../src/physics/kernel/seating-kernel.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { longIt } from "../../tools/longer.js";
import { quietJob } from "./support/quiet-job.js";
import { worstOf } from "./support/worst-of.js";

// First-order gaps answer to errors with a kink at zero and straight from there: twice the errors, twice the gaps. So along each direction of the draws the widest gap is
// the draw's length times its size at length one, which the readable solver gives.

/** How far the draws may go along a direction until a limit is met. */
const reach = (worst: { gap: number; press: number }, { gap, snug }: Job["limits"]) => ({
  gap: gap / worst.gap,
  either: Math.min(gap / worst.gap, snug / worst.press),
});

const SEEDS = 200;
const TRIALS = 2000;

interface Run {
  readonly beyondGap: Estimated;
  readonly fails: Estimated;
  readonly middle: Estimated;
  readonly tail: Estimated;
}

function runs(job: Job, sources: ForecastSources): Run[] {
  const kernel = createKernel(cellModel(sources.cell), { ...sources, pressRatio: job.pressRatio });
  return Array.from({ length: SEEDS }, (_, seed) => {
    const tally = new BlockTally(kernel, job.limits, TRIALS, seed);
    tally.work(0);
    const { beyond, gap } = tally.total();
    const counts = new GapCounts(gap);
    return {
      beyondGap: chanceFrom(beyond[BEYOND.gap]!, TRIALS),
      fails: chanceFrom(beyond[BEYOND.either]!, TRIALS),
      middle: quantileFrom(counts, 0.7),
      tail: quantileFrom(counts, 0.95),
    };
  });
}

/** In how many runs the bounds hold the true value. */
const covered = (all: readonly Run[], what: keyof Run, truth: number): number =>
  all.filter((run) => run[what].low <= truth && truth <= run[what].high).length;

/** Of 200 bounds at 95 %, 190 should hold; fewer than 178 or all but one has a chance below 2·10⁻⁴ (binomial, worked out below). */
const FEWEST = 178;
const MOST = 199;

const factorial = (n: number): number => (n < 2 ? 0 : Math.log(n) + factorial(n - 1));
const binomial = (n: number, k: number, p: number): number =>
  Math.exp(factorial(n) - factorial(k) - factorial(n - k) + k * Math.log(p) + (n - k) * Math.log(1 - p));

const ONE = quietJob(["diagonal-end"], { limits: { gap: 0.05, snug: 0.08 } });
const TWO = quietJob(["diagonal-end", "hinge-mitre"]);

describe("the counted chances and quantiles", () => {
  it("are judged by a count that chance would hardly reach", () => {
    const below = Array.from({ length: FEWEST }, (_, k) => binomial(SEEDS, k, 0.95));
    expect(below.reduce((a, b) => a + b)).toBeLessThan(2e-4);
    expect(binomial(SEEDS, 200, 0.95)).toBeLessThan(1e-4);
  });

  describe("with one source", () => {
    const sources = forecastSources(ONE);
    const all = runs(ONE, sources);
    const [longer, shorter] = [[1], [-1]].map((z) => worstOf(sources, ONE.pressRatio, z));

    it("agree with the closed form as often as their bounds say", () => {
      const [up, down] = [reach(longer!, ONE.limits), reach(shorter!, ONE.limits)];
      const beyondGap = normalSurvival(up.gap) + normalSurvival(down.gap);
      const fails = normalSurvival(up.either) + normalSurvival(down.either);
      expect(fails - beyondGap).toBeGreaterThan(0.02);
      for (const [what, truth] of [
        ["beyondGap", beyondGap],
        ["fails", fails],
      ] as const) {
        expect(covered(all, what, truth)).toBeGreaterThanOrEqual(FEWEST);
        expect(covered(all, what, truth)).toBeLessThanOrEqual(MOST);
        // The negative control: an answer wrong by a sixth is not covered.
        expect(covered(all, what, 1.15 * truth)).toBeLessThan(FEWEST);
      }
    });

    it("have quantiles where the closed form has them", () => {
      for (const [what, p] of [
        ["middle", 0.7],
        ["tail", 0.95],
      ] as const) {
        const truth = rootOf((x) => normalCdf(x / longer!.gap) - normalCdf(-x / shorter!.gap) - p);
        expect(covered(all, what, truth)).toBeGreaterThanOrEqual(FEWEST);
        expect(covered(all, what, truth)).toBeLessThanOrEqual(MOST);
        expect(covered(all, what, 1.1 * truth)).toBeLessThan(FEWEST);
      }
    });
  });

  longIt("with two sources agree with quadrature as often as their bounds say", () => {
    const sources = forecastSources(TWO);
    const all = runs(TWO, sources);
    // In polar coordinates the length of two normal draws exceeds r with chance exp(−r²/2), whatever the angle.
    const angles = 1000;
    const chance = { gap: 0, either: 0 };
    for (let k = 0; k < angles; k++) {
      const angle = (2 * Math.PI * (k + 0.5)) / angles;
      const far = reach(worstOf(sources, TWO.pressRatio, [Math.cos(angle), Math.sin(angle)]), TWO.limits);
      chance.gap += Math.exp(-(far.gap ** 2) / 2) / angles;
      chance.either += Math.exp(-(far.either ** 2) / 2) / angles;
    }
    expect(chance.gap).toBeGreaterThan(0.05);
    for (const [what, truth] of [
      ["beyondGap", chance.gap],
      ["fails", chance.either],
    ] as const) {
      expect(covered(all, what, truth)).toBeGreaterThanOrEqual(FEWEST);
      expect(covered(all, what, truth)).toBeLessThanOrEqual(MOST);
      expect(covered(all, what, 1.15 * truth)).toBeLessThan(FEWEST);
    }
  });
});

function rootOf(f: (x: number) => number): number {
  let [low, high] = [0, 1];
  for (let k = 0; k < 60; k++) {
    const middle = (low + high) / 2;
    if (f(middle) < 0) low = middle;
    else high = middle;
  }
  return low;
}
