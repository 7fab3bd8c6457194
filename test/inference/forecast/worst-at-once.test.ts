import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { DEVIATIONS_AT_ONCE, worstAtOnce } from "../../../src/inference/forecast/cross-checks.js";
import { forecastSources } from "../../../src/inference/forecast/forecast-sources.js";
import { createSeater } from "../../../src/physics/kernel/fitted-kernel.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { longIt } from "../../tools/longer.js";
import { cornersOf } from "./support/corners-of.js";
import { DEMO, quietJob } from "./support/quiet-job.js";
import { worstOf } from "./support/worst-of.js";

const { pressRatio, limits } = DEMO;

describe("the worst of all sources at once", () => {
  it("is that of the worst of all corners, each seated by the readable solver", () => {
    const sources = forecastSources(quietJob(["diagonal-end", "hinge-mitre", "hinge-seat", "key-end"]));
    const all = cornersOf(sources.inputs.draws, DEVIATIONS_AT_ONCE).map((z) =>
      worstOf(sources, pressRatio, z),
    );
    const found = worstAtOnce(sources, { order: "first", pressRatio })!;
    expect([all.length, found.sources]).toEqual([16, 4]);
    expect(found.widestGap).toBeCloseTo(Math.max(...all.map(({ gap }) => gap)), 9);
    expect(found.deepestPress).toBeCloseTo(Math.max(...all.map(({ press }) => press)), 9);
  });

  it.each([
    { lengths: "as cut", job: DEMO, tries: 20_000 },
    // Without scatters, for each cell is fitted by trial.
    { lengths: "fitted", job: quietJob(["diagonal-end", "hinge-mitre"], { jigs: DEMO.jigs }), tries: 300 },
  ])("is not passed by any of $tries corners drawn by lot, $lengths", ({ lengths, job, tries }) => {
    const sources = forecastSources(job);
    const fitting = lengths === "fitted" && { fitting: { snug: limits.snug } };
    const options = { order: "first", pressRatio, ...fitting } as const;
    const found = worstAtOnce(sources, options)!;
    const kernel = createSeater(cellModel(sources.cell), { ...options, inputs: sources.inputs });
    const stream = createStream(8);
    let [gap, press] = [0, 0];
    for (let k = 0; k < tries; k++) {
      const draws = kernel.drawsOf(0);
      for (let i = 0; i < draws.length; i++) draws[i] = stream.uniform() < 0.5 ? -2 : 2;
      kernel.seat(1);
      gap = Math.max(gap, kernel.widestGap(0));
      press = Math.max(press, kernel.deepestPress(0));
    }
    expect(found.widestGap).toBeGreaterThanOrEqual(gap);
    expect(found.deepestPress).toBeGreaterThanOrEqual(press);
    // The negative control: cells drawn by lot come near it, so it would be seen were it half as large.
    expect(gap).toBeGreaterThan(found.widestGap / 1.8);
    expect(press).toBeGreaterThan(found.deepestPress / 1.8);
  });

  longIt("is not told where errors that large leave pieces without a rest", () => {
    const stops = DEMO.setUps.map((setUp) => ({
      ...setUp,
      stop: setUp.stop && { ...setUp.stop, priorSd: 5 },
    }));
    const jigs = DEMO.jigs.map((jig) => ({ ...jig, priorSd: 0.2 }));
    const wild = forecastSources({ ...DEMO, setUps: stops, jigs });
    expect(worstAtOnce(wild, { order: "exact", pressRatio })).toBeNull();
  });
});
