import { resolve } from "node:path";
import { describe, expect, it } from "vitest";
import {
  planTolerances,
  toleranceGroups,
  withTolerances,
} from "../../../src/features/tolerances/job-tolerances.js";
import { SampledChance } from "../../../src/features/tolerances/sampled-chance.js";
import { toleranceReport } from "../../../src/features/tolerances/tolerance-report.js";
import { forecastCells } from "../../../src/inference/forecast/forecast-cells.js";
import { forecastSources } from "../../../src/inference/forecast/forecast-sources.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { type Job, TOLERANCE_GOAL } from "../../../src/model/job/job.js";
import { BATCH_THICKNESS, sourceKey } from "../../../src/model/source-id.js";
import { sourceText } from "../../../src/render/source-text.js";
import { demoJob } from "../../inference/demo.js";
import { userError } from "../../user-error.js";

/** Only two stops are unsure, and little else. */
const twoStops: Job = {
  ...demoJob,
  jigs: demoJob.jigs.map((jig) => ({ ...jig, priorSd: 0 })),
  setUps: demoJob.setUps.map((setUp) => ({
    ...setUp,
    stop: setUp.stop === null ? null : { ...setUp.stop, priorSd: /diagonal|key/.test(setUp.name) ? 0.15 : 0 },
  })),
  batchThickness: 0,
  grid: { offset: 0, turn: 0 },
  toleranceGoal: { ...TOLERANCE_GOAL, chance: 0.9 },
};

function sampledChance(cells: number, seed: number): SampledChance {
  const sources = forecastSources(twoStops);
  const groups = toleranceGroups(TOLERANCE_GOAL, sources).free.map(({ group }) => group.draws);
  const { limits, pressRatio } = twoStops;
  return new SampledChance(sources, groups, { limits, pressRatio, order: "first", cells, seed });
}

const few = { search: 2048, setting: 16_384, curve: 1024, proof: 60_000 };

describe("tolerances that are out of reach", () => {
  const report = async (job: Job): Promise<string> => {
    const goal = { ...TOLERANCE_GOAL, chance: 0.995 };
    const small = { search: 512, setting: 1024, curve: 512, proof: 1024 };
    return toleranceReport(
      await planTolerances({ ...job, toleranceGoal: goal }, { cells: small, curve: false }),
    ).replace(/\s+/g, " ");
  };

  it("say what to do: square the ramps where they lean, cut more evenly where they do not", async () => {
    const leaning = loadJob(resolve(import.meta.dirname, "../../../data/leaning-ramp"));
    expect(await report(leaning)).toMatch(/Out of reach.*: square the ramps that lean to their beds/);
    const uneven = { ...demoJob, betweenCutSd: { angle: 0.02, length: 0.2, thickness: 0.1 } };
    expect(await report(uneven)).toMatch(
      /Out of reach.*stay as they are: cut more evenly, or allow a wider gap\./,
    );
  });
});

describe("tolerances of a job", () => {
  it("multiply the sources as the draws are stretched", () => {
    const { free, fixed } = toleranceGroups(TOLERANCE_GOAL, forecastSources(demoJob));
    expect(free.map(({ kind }) => kind)).toEqual([
      ...["ramps", "ramps", "ramps", "stops", "stops", "stops", "stops", "thickness", "grid"],
    ]);
    expect(fixed.map(sourceText)).toEqual([
      "angles from cut to cut",
      "lengths from cut to cut",
      "thickness from piece to piece",
    ]);
    const factors = new Map(free.map(({ group }, i) => [sourceKey(group.id), 0.3 + 0.1 * i]));
    factors.set(sourceKey({ kind: "scatter", of: "length" }), 2);
    const [before, after] = [demoJob, withTolerances(demoJob, factors)].map((job) =>
      forecastSources(job),
    ) as [ReturnType<typeof forecastSources>, ReturnType<typeof forecastSources>];
    expect(factors.get(sourceKey(BATCH_THICKNESS))).toBeDefined();
    for (const [g, { id, draws }] of before.groups.entries()) {
      expect(after.groups[g]!.id).toEqual(id);
      for (const k of draws)
        for (let row = 0; row < before.inputs.mean.length; row++) {
          const at = row * before.inputs.draws + k;
          expect(after.inputs.matrix[at]).toBeCloseTo(
            before.inputs.matrix[at]! * (factors.get(sourceKey(id)) ?? 1),
            12,
          );
        }
    }
  });

  it("sample the chance that the forecast finds, and slopes that its changes show", async () => {
    const sampled = sampledChance(16_384, 3);
    const at = Float64Array.of(0.5, 0.5);
    const stops = ["diagonal-end", "key-end"].map((of) => sourceKey({ kind: "stop", of }));
    const job = withTolerances(twoStops, new Map(stops.map((key, i) => [key, at[i]!])));
    const { cell } = await forecastCells(job, { trials: 60_000, budget: false, bothOrders: 0, threads: 1 });
    const share = sampled.share(at);
    // Four standard errors of both samples.
    expect(Math.abs(share - cell.closes.value)).toBeLessThan(
      4 * Math.sqrt(share * (1 - share) * (1 / 16_384 + 1 / 60_000)),
    );
    const slopes = sampled.at(at).slopes();
    const seen = [0, 1].map((i) => {
      const [tighter, looser] = [-0.2, 0.2].map((step) => sampled.share(at.with(i, at[i]! * Math.exp(step))));
      return (looser! - tighter!) / 0.4;
    });
    // Counting in part near a limit moves them a little; taken for each other they would be far off.
    for (const i of [0, 1]) expect(Math.abs(slopes[i]! - seen[i]!)).toBeLessThan(0.02);
    expect(Math.abs(slopes[0]! - seen[1]!)).toBeGreaterThan(0.1);
  });

  it("are as cheap as the best of a grid of all, and reach the chance on other cells", async () => {
    const found = await planTolerances(twoStops, { cells: few, curve: false });
    expect(found.status).toBe("found");
    expect(found.lines.map(({ id }) => sourceText(id))).toEqual(["stop of diagonal-end", "stop of key-end"]);
    const { low, high } = found.proof;
    // The sample that the chance was set right on is off by up to 2.6 of its standard errors.
    const off = 2.6 * Math.sqrt((0.9 * 0.1) / few.setting);
    expect(low - off).toBeLessThan(0.9);
    expect(high + off).toBeGreaterThan(0.9);
    // The negative control: today's tolerances are far from it.
    expect(found.today.high + off).toBeLessThan(0.9);
    const sampled = sampledChance(4096, 99);
    let least = Number.POSITIVE_INFINITY;
    const steps = Array.from({ length: 26 }, (_, i) => 0.08 * 1.1 ** i);
    for (const a of steps)
      for (const b of steps) {
        const cost = 1 / a + 1 / b;
        if (cost < least && sampled.share(Float64Array.of(a, b)) >= 0.9) least = cost;
      }
    // A step of the grid is a tenth, and the two samples differ.
    expect(found.cost / least).toBeLessThan(1.03);
    expect(found.cost / least).toBeGreaterThan(0.88);
  });

  it("cost more the more cells are to close, and come out the same again", async () => {
    const options = { cells: { ...few, proof: 2000, setting: 2000 } };
    const first = await planTolerances(twoStops, options);
    const costs = first.curve.map(({ cost }) => cost!);
    for (let i = 1; i < costs.length; i++) expect(costs[i]).toBeGreaterThan(costs[i - 1]!);
    const again = await planTolerances(twoStops, { ...options, curve: false });
    expect(again.lines).toEqual(first.lines);
  });

  it("say when the chance is out of reach, and what is asked wrongly", async () => {
    const rough: Job = { ...twoStops, betweenCutSd: { angle: 0.03, length: 0.1, thickness: 0.05 } };
    const found = await planTolerances(rough, { cells: { ...few, proof: 2000 }, curve: false });
    expect(found.status).toBe("out of reach");
    expect(found.most).toBeLessThan(0.9);
    expect(found.lines.every(({ bound }) => bound === "finest")).toBe(true);
    await expect(planTolerances(twoStops, { chance: 1 })).rejects.toThrow(userError("tolerances"));
    const sure: Job = { ...twoStops, setUps: twoStops.setUps.map((setUp) => ({ ...setUp, stop: null })) };
    await expect(planTolerances(sure)).rejects.toThrow(/nothing to make finer/);
  });
});
