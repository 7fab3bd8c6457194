import { describe, expect, it } from "vitest";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { angleJob, angleReading, LABEL } from "../angle-readings.js";
import { demoJob, demoReadings } from "../demo.js";

describe("kept states", () => {
  it.each([
    ["where gaps were read", demoReadings],
    ["where the posterior is normal", demoReadings.filter(({ what }) => what !== "gap")],
  ])("are those of the sample, draw by draw, %s", (_, readings) => {
    const fit = fitSources({ ...demoJob, order: "first" }, readings, {
      alsoWithoutPriors: false,
      estimateBetweenCutSds: false,
      keepStates: true,
    });
    const p = fit.sources.length;
    expect(fit.states).toHaveLength(fit.sample.length / p);
    for (const [d, state] of fit.states.entries()) {
      expect(state.latents).toHaveLength(fit.target.blocks.length);
      for (const [i, x] of state.sources.entries())
        expect(x * fit.sources[i]!.priorSd).toBeCloseTo(fit.sample[d * p + i]!, 12);
    }
  });

  it("are left out unless asked for", () => {
    const readings = [angleReading("t", LABEL)];
    expect(fitSources(angleJob, readings, { alsoWithoutPriors: false }).states).toEqual([]);
  });
});
