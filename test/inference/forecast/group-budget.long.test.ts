import { describe, expect, it } from "vitest";
import { normalPdf, normalSurvival } from "../../../src/core/numeric/normal.js";
import { forecastSources } from "../../../src/inference/forecast/forecast-sources.js";
import { groupBudget } from "../../../src/inference/forecast/group-budget.js";
import type { Estimated } from "../../../src/inference/forecast/tally-blocks.js";
import { sourceText } from "../../../src/render/source-text.js";
import { quietJob } from "./support/quiet-job.js";
import { worstOf } from "./support/worst-of.js";

const ONE = quietJob(["diagonal-end"]);
const TWO = quietJob(["diagonal-end", "hinge-mitre"]);
const optionsOf = ({ limits, pressRatio }: typeof ONE, seed: number) => ({
  limits,
  pressRatio,
  seed,
  order: "first" as const,
  points: 64,
  replicates: 10,
});
const holds = ({ low, high }: Estimated, truth: number): boolean => low <= truth && truth <= high;

describe("the budget by source", () => {
  it("gives a single source everything, and takes every failure away with it", async () => {
    const budget = await groupBudget(forecastSources(ONE), optionsOf(ONE, 3));
    const { lines, fails, status } = budget!;
    expect(status).toBe("estimated");
    expect(lines.map(({ group }) => sourceText(group.id))).toEqual(["stop of diagonal-end"]);
    expect(lines[0]!.total.value).toBeCloseTo(1, 1);
    expect(holds(lines[0]!.first, 1)).toBe(true);
    expect(fails.value).toBeGreaterThan(0.1);
    expect(lines[0]!.drop).toEqual(fails);
  });

  it("agrees with quadrature for two sources as often as its bounds say", async () => {
    const sources = forecastSources(TWO);
    const names = ["stop of diagonal-end", "stop of hinge-mitre"];
    expect(sources.groups.map(({ id }) => sourceText(id))).toEqual(names);
    const truth = byQuadrature();
    const runs = 60;
    const hits = { first: [0, 0], total: [0, 0], drop: [0, 0], mistaken: [0, 0] };
    for (let seed = 0; seed < runs; seed++) {
      const { lines } = (await groupBudget(sources, optionsOf(TWO, seed)))!;
      for (const [i, name] of names.entries()) {
        const line = lines.find(({ group }) => sourceText(group.id) === name)!;
        for (const what of ["first", "total", "drop"] as const)
          if (holds(line[what], truth[what][i]!)) hits[what][i]!++;
        if (holds(line.total, truth.first[i]!)) hits.mistaken[i]!++;
      }
    }
    // Of 60 bounds at 95 %, 57 should hold; fewer than 50 has a chance below 10⁻³ (binomial: 9.5·10⁻⁴).
    for (const what of ["first", "total", "drop"] as const)
      for (const count of hits[what]) expect(count).toBeGreaterThanOrEqual(50);
    // The negative control: the first-order share is not the total one.
    for (const count of hits.mistaken) expect(count).toBeLessThan(50);
  });

  /** First and total shares and drops of the two sources: sums over a grid of both draws, 0.15 apart from −6 to 6. */
  function byQuadrature(): { first: number[]; total: number[]; drop: number[] } {
    const { limits, pressRatio } = TWO;
    const sources = forecastSources(TWO);
    const step = 0.15;
    const at = Array.from({ length: 81 }, (_, k) => (k - 40) * step);
    const weight = at.map((z) => normalPdf(z) * step);
    const y = at.map((a) => at.map((b) => worstOf(sources, pressRatio, [a, b]).gap));
    const mean = (values: readonly number[]): number =>
      values.reduce((sum, value, k) => sum + weight[k]! * value, 0);
    const spread = (values: readonly number[]): number =>
      mean(values.map((value) => value ** 2)) - mean(values) ** 2;
    const byFirst = y.map(mean);
    const bySecond = at.map((_, b) => mean(y.map((row) => row[b]!)));
    const all = mean(y.map((row) => mean(row.map((value) => value ** 2)))) - mean(byFirst) ** 2;
    const first = [spread(byFirst) / all, spread(bySecond) / all];
    const fails = (drawn: readonly number[]): number => {
      const worst = worstOf(sources, pressRatio, drawn);
      return Math.min(limits.gap / worst.gap, limits.snug / worst.press);
    };
    const angles = 1000;
    let both = 0;
    for (let k = 0; k < angles; k++) {
      const angle = (2 * Math.PI * (k + 0.5)) / angles;
      both += Math.exp(-(fails([Math.cos(angle), Math.sin(angle)]) ** 2) / 2) / angles;
    }
    const alone = (unit: readonly number[]): number =>
      normalSurvival(fails(unit)) + normalSurvival(fails(unit.map((x) => -x)));
    return {
      first,
      total: [1 - first[1]!, 1 - first[0]!],
      drop: [both - alone([0, 1]), both - alone([1, 0])],
    };
  }

  it("tells of no shares where nothing varies that matters", async () => {
    const job = { ...ONE, limits: { gap: 10, snug: 10 } };
    const { lines } = (await groupBudget(forecastSources(job), optionsOf(job, 1)))!;
    expect(lines[0]!.drop).toEqual({ value: 0, low: 0, high: 0 });
  });

  it("is given up when asked", async () => {
    const options = { ...optionsOf(ONE, 1), onReplicate: async (done: number) => done < 2 };
    expect(await groupBudget(forecastSources(ONE), options)).toBeNull();
  });
});
