import { describe, expect, it } from "vitest";
import { contradictions } from "../../../src/features/calibrate/card/set-up-card.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import type { Job } from "../../../src/model/job/job.js";
import { sourceText } from "../../../src/render/source-text.js";
import { demoJob, demoReadings } from "../demo.js";

const DEGREE = Math.PI / 180;
/** The demonstration job with a record that has its point-45 at `error`, in degrees; its readings were made with 0.62°. */
const recorded = (error: number): Job => ({
  ...demoJob,
  jigs: demoJob.jigs.map((jig) =>
    jig.name === "point-45" ? { ...jig, priorMean: error * DEGREE, priorSd: 0.06 * DEGREE } : jig,
  ),
});
const ramp = (error: number) =>
  fitSources(recorded(error), demoReadings).sources.find(({ id }) => sourceText(id) === "ramp of point-45")!;

describe("a record", () => {
  it("that new readings bear out is not complained of", () => {
    expect(ramp(0.6).contradicted).toBe(false);
  });

  it("that new readings contradict is pointed out", () => {
    const far = ramp(1.2);
    expect(far.contradicted).toBe(true);
    expect(contradictions({ sources: [far] })).toEqual([
      expect.stringMatching(/^The readings contradict the record of the ramp of point-45: /),
    ]);
    expect(contradictions({ sources: [ramp(0.6)] })).toEqual([]);
  });

  it("is judged by the difference of readings and record over what that difference scatters by", () => {
    const { estimate, standardUncertainty: u, withoutPrior, priorSd, priorMean } = ramp(0.3);
    const alone = withoutPrior!;
    const direct = (alone.estimate - priorMean!) / Math.hypot(alone.standardUncertainty, priorSd);
    const through = (estimate - priorMean!) / Math.sqrt(priorSd ** 2 - u ** 2);
    // The same number by two routes, but for the bends of closing joints and the scatters, which only one of them takes as unknown.
    expect(Math.abs(through / direct - 1)).toBeLessThan(0.3);
  });
});
