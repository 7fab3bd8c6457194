import { join } from "node:path";
import { describe, expect, it } from "vitest";
import { adjustersOf } from "../../../src/inference/decision/adjusters.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { loadJob } from "../../../src/io/job/load-job.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Reading } from "../../../src/model/readings.js";

const DEGREE = Math.PI / 180;
const plain = loadJob(join(import.meta.dirname, "../../../data/alcove-screen"));

/** The job with a ramp of point-45 that a record expects to be 0.3° steep, known to 0.1°. */
const recorded: Job = {
  ...plain,
  jigs: plain.jigs.map((jig) =>
    jig.name === "point-45" ? { ...jig, priorMean: 0.3 * DEGREE, priorSd: 0.1 * DEGREE } : jig,
  ),
};

const angleOf = (value: number): Reading => ({
  id: "a1",
  line: 2,
  trial: "d1",
  setUp: "diagonal-start",
  round: null,
  bench: "none",
  what: "angle",
  subject: "start-left",
  at: null,
  value,
  low: null,
  high: null,
  instrument: "angle-gauge",
  note: "",
});

describe("a prior mean", () => {
  it("is the estimate while nothing has been read", () => {
    const { sources, estimates } = fitSources(recorded, []);
    expect(estimates[0]).toBeCloseTo(0.3 * DEGREE, 12);
    expect(sources[0]!.standardUncertainty).toBeCloseTo(0.1 * DEGREE, 9);
    expect([...estimates.slice(1)].every((value) => Math.abs(value) < 1e-12)).toBe(true);
  });

  it("is weighed with a reading by their precisions", () => {
    const { estimates, sources } = fitSources(recorded, [angleOf(45.8 * DEGREE)], {
      estimateBetweenCutSds: false,
    });
    // Variances in square degrees: record 0.1², one reading 0.06² (gauge) + 0.1²/12 (its step) + 0.06² (cut to cut).
    const [prior, data] = [0.1 ** 2, 0.06 ** 2 + 0.1 ** 2 / 12 + 0.06 ** 2];
    const expected = (0.3 / prior + 0.8 / data) / (1 / prior + 1 / data);
    expect(estimates[0]! / DEGREE).toBeCloseTo(expected, 8);
    expect(sources[0]!.standardUncertainty / DEGREE).toBeCloseTo(1 / Math.sqrt(1 / prior + 1 / data), 8);
  });

  it("is zero where no record is given", () => {
    expect(jobSources(plain).map(({ priorMean }) => priorMean ?? 0)).toEqual(jobSources(plain).map(() => 0));
  });

  it("stays within the settings of a stop that is far off", () => {
    const far = 1.1;
    const job: Job = {
      ...plain,
      setUps: plain.setUps.map((setUp) =>
        setUp.name === "key-end"
          ? { ...setUp, stop: { ...setUp.stop!, priorSd: 0.02, priorMean: far } }
          : setUp,
      ),
    };
    const stop = adjustersOf(job, jobSources(job)).find(({ name }) => name === "key-end")!;
    expect(stop.settings[0]!.change).toBeLessThanOrEqual(-far);
  });
});
