import { describe, expect, it } from "vitest";
import { fitSources } from "../../src/inference/estimates/fit-sources.js";
import { simulateTrials } from "../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../src/inference/likelihood/specimen.js";
import { demoJob, demoPlan, demoTruth } from "./demo.js";

const sources = jobSources(demoJob);
const p = sources.length;

describe("the fit", () => {
  it("covers the truth as often as it says, and is not biased", () => {
    const seeds = 24;
    let held = 0;
    const standardised = sources.map(() => 0);
    for (let seed = 1000; seed < 1000 + seeds; seed++) {
      const readings = simulateTrials(demoJob, demoPlan, { truth: demoTruth.sources, seed });
      for (const [i, { estimate, interval, standardUncertainty }] of fitSources(
        demoJob,
        readings,
      ).sources.entries()) {
        const truth = demoTruth.sources[i]!;
        if (interval[0] <= truth && truth <= interval[1]) held++;
        standardised[i]! += (estimate - truth) / standardUncertainty / seeds;
      }
    }
    // 95 % of 192 intervals; the bounds are 3.3 standard deviations of the binomial, the sources of one seed being correlated.
    expect(held / (seeds * p)).toBeGreaterThan(0.89);
    expect(held / (seeds * p)).toBeLessThan(1);
    for (const mean of standardised) expect(Math.abs(mean)).toBeLessThan(3.5 / Math.sqrt(seeds));
  });
});
