import { describe, expect, it } from "vitest";
import { columnOf } from "../../../src/core/numeric/dense.js";
import { chanceOf, sourceCauses } from "../../../src/features/explain/source-causes.js";
import { jobPosterior } from "../../../src/inference/job-posterior.js";
import { sourceText } from "../../../src/render/source-text.js";
import { job, specimen } from "./invented-cell.js";

describe("the size from which on a source matters", () => {
  const posterior = jobPosterior(job, []);
  const causes = sourceCauses(posterior);

  it("takes a perfect cell to its limits, from either side", () => {
    for (const { id, matters } of causes) {
      const s = posterior.sources.findIndex((source) => sourceText(source.id) === sourceText(id));
      for (const size of [matters.above, -matters.below]) {
        const errors = columnOf(specimen.matrix, s, posterior.sources.length).map((slope) => size * slope);
        const { gap } = specimen.reader.seatOne(errors, { order: "first", pressRatio: job.pressRatio });
        const open = Math.max(...gap) / job.limits.gap;
        const pressed = Math.max(...gap.map((g) => -g)) / job.limits.snug;
        expect(Math.max(open, pressed), sourceText(id)).toBeCloseTo(1, 6);
      }
    }
  });

  // A diagonal long by e presses its four faces by (e/2)·cos 45° each, to K/(K + 1).
  it("is the closed form for the diagonal's stop", () => {
    const stop = causes.find(({ id }) => sourceText(id) === "stop of diagonal-end")!;
    expect(stop.matters.above / (2 * Math.SQRT2 * job.limits.snug)).toBeCloseTo(1, 2);
    expect(stop.matters.below / (2 * Math.SQRT2 * job.limits.gap)).toBeCloseTo(1, 2);
  });

  it("is exceeded without readings as often as the job's prior says", () => {
    const stop = causes.find(({ id }) => sourceText(id) === "stop of diagonal-end")!;
    // P(x > 0.113) + P(x < −0.226) for N(0, 0.15²).
    expect(Math.abs(stop.chance.value - 0.2913)).toBeLessThan(stop.chance.samplingError * 1.5);
    expect(stop.sign).toBe(0);
  });
});

it("the sampling error of a chance is that of a share of independent draws, and never nil", () => {
  expect(chanceOf(0.5, 996).samplingError).toBeCloseTo(2 * Math.sqrt(0.25 / 1000), 12);
  expect(chanceOf(0, 100).samplingError).toBeGreaterThan(0);
});
