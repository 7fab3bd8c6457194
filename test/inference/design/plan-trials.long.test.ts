import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { planTrials } from "../../../src/inference/design/plan-trials.js";
import { sampleName } from "../../../src/inference/design/station.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import { loadTrialPlan, loadTrials } from "../../../src/io/trials/load-trials.js";
import { trialsCsv } from "../../../src/io/trials/trials-csv.js";
import { benchCost } from "../../../src/model/job/job.js";
import { sourceText } from "../../../src/render/source-text.js";
import { inFolder } from "../../io/in-folder.js";

const DEMO = join(import.meta.dirname, "../../../data/alcove-screen");
const job = loadJob(DEMO);
const sources = jobSources(job);
const QUICK = { scenarios: 8 };
const before = planTrials(job, [], QUICK);

describe("a plan before any data exist", () => {
  it("starts from what the job trusts, and lowers the uncertainty with every trial", () => {
    expect(before.readingsBefore).toBe(0);
    for (const [i, { priorSd }] of sources.entries()) {
      expect(before.uncertainties[i]!.before).toBeCloseTo(priorSd, 9);
      expect(before.uncertainties[i]!.after).toBeLessThan(priorSd);
    }
    const steps = [before.gapBefore, ...before.trials.map(({ gapAfter }) => gapAfter)];
    for (const [k, gap] of steps.entries()) if (k > 0) expect(gap).toBeLessThan(steps[k - 1]!);
    expect(before.trials.length).toBeLessThanOrEqual(6);
    expect(steps.at(-1)!).toBeLessThan(0.5 * before.gapBefore);
  });

  it("is near what no trials of as many minutes could better", () => {
    expect(before.efficiency).toBeGreaterThan(0.9);
    expect(before.efficiency).toBeLessThanOrEqual(1 + 1e-9);
  });

  it("counts minutes and pieces as its costs say", () => {
    const { trialCosts } = job;
    for (const { option } of before.trials) {
      const byHand = option.stops.reduce(
        (sum, { station, readings }) =>
          sum +
          benchCost(trialCosts, station.bench).minutes +
          readings.length * (station.instrument.leaves.length > 0 ? trialCosts.leaves : trialCosts.value),
        option.pieces * trialCosts.piece,
      );
      expect(option.minutes).toBeCloseTo(byHand, 9);
    }
    expect(before.minutes).toBeCloseTo(
      before.trials.reduce((sum, { option }) => sum + option.minutes, 0),
      9,
    );
  });

  it("says how long the quickest takes where none is as quick as was allowed", () => {
    const none = planTrials(job, [], { ...QUICK, minutes: 1 });
    expect(none.trials).toEqual([]);
    expect(none.quickest).toBeGreaterThan(1);
    const some = planTrials(job, [], { ...QUICK, minutes: none.quickest! + 1 });
    expect(some.trials.length).toBeGreaterThan(0);
    expect([some.quickest, before.quickest]).toEqual([null, null]);
    expect(() => planTrials(job, [], { trials: 0 })).toThrow(/number of trials is out of range/);
  });

  it("writes rows that the table of trials takes", () => {
    const folder = inFolder({});
    writeFileSync(join(folder, "plan.csv"), trialsCsv(job, before.readings));
    const rows = loadTrialPlan(join(folder, "plan.csv"), job);
    expect(rows.map(({ line: _, file: __, ...row }) => row)).toEqual(
      before.readings.map(({ line: _, ...row }) => row),
    );
  });

  it("keeps to the minutes it is given, and leaves out what has become too dear", () => {
    const short = planTrials(job, [], { ...QUICK, minutes: 15, trials: 3 });
    expect(short.minutes).toBeLessThanOrEqual(15);
    expect(short.trials.length).toBeGreaterThan(0);
    expect(before.trials.some(({ option }) => option.sample.kind === "cell")).toBe(true);
    const { trialCosts } = job;
    const dear = { ...trialCosts, benches: { ...trialCosts.benches, cell: { minutes: 9000, pieces: 7 } } };
    const cheap = planTrials(job, [], { ...QUICK, costs: dear });
    expect(cheap.trials.some(({ option }) => option.readings.some(({ bench }) => bench === "cell"))).toBe(
      false,
    );
  });
});

describe("what a plan promises", () => {
  it("is what the fit then finds, on average over shops drawn from the job's trust", () => {
    const stream = createStream(12);
    const shops = 8;
    const ratios = sources.map(() => 0);
    let withinTwo = 0;
    for (let s = 0; s < shops; s++) {
      const truth = Float64Array.from(sources, ({ priorSd }) => priorSd * stream.normal());
      const { sources: found } = fitSources(
        job,
        simulateTrials(job, before.readings, { truth, seed: 100 + s }),
      );
      for (const [i, { standardUncertainty, estimate }] of found.entries()) {
        ratios[i]! += standardUncertainty ** 2 / before.uncertainties[i]!.after ** 2 / shops;
        if (Math.abs(estimate - truth[i]!) < 2 * before.uncertainties[i]!.after) withinTwo++;
      }
    }
    for (const [i, { id }] of sources.entries()) {
      const name = sourceText(id);
      expect(Math.sqrt(ratios[i]!), name).toBeGreaterThan(0.65);
      expect(Math.sqrt(ratios[i]!), name).toBeLessThan(1.55);
    }
    // 95 % of 64 expected within two promised standard deviations.
    expect(withinTwo / (shops * sources.length)).toBeGreaterThan(0.85);
  });
});

describe("a plan after readings", () => {
  const readings = loadTrials(DEMO, job);
  const after = planTrials(job, readings, { ...QUICK, aim: "all", trials: 2 });

  it("starts from the fit", () => {
    const fit = fitSources(job, readings);
    expect(after.readingsBefore).toBe(readings.length);
    for (const [i, { standardUncertainty }] of fit.sources.entries())
      expect(after.uncertainties[i]!.before).toBeCloseTo(standardUncertainty, 9);
  });

  it("gives its trials names that the table does not have", () => {
    const taken = new Set(readings.flatMap(({ id, trial }) => [id, trial]));
    for (const { id, trial } of after.readings) expect(taken.has(id) || taken.has(trial)).toBe(false);
    const named = readings.map((reading) => ({ ...reading, trial: `n${reading.trial}` }));
    expect(
      planTrials(
        job,
        named.map((r) => ({ ...r, trial: "n7" })),
        { ...QUICK, trials: 1 },
      ).trials[0]!.trial,
    ).toBe("nn1");
  });

  it("is safer than before, and needs fewer pieces", () => {
    expect(after.safety.now).toBeGreaterThan(before.safety.now);
    expect(after.safety.piecesNeeded ?? 99).toBeLessThan(before.safety.piecesNeeded ?? 100);
  });

  it("may be for whole pieces, benches or cells", () => {
    for (const { option } of [...before.trials, ...after.trials])
      expect(sampleName(option.sample)).toMatch(
        /^(cell|(diagonal|hinge|key)(-\d|-(start|end|point|mitre|seat))?)$/,
      );
  });
});
