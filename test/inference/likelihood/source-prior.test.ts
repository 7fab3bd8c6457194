import { describe, expect, it } from "vitest";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { jobPosterior } from "../../../src/inference/job-posterior.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { momentsOf } from "../../../src/inference/posterior/trial-distribution.js";
import type { Job } from "../../../src/model/job/job.js";
import { momentsOfCases, type RecordedPrior } from "../../../src/model/recorded-prior.js";
import { type SourceId, sameSource } from "../../../src/model/source-id.js";
import { ANGLE_VARIANCE, angleJob, angleReading, DEGREE, LABEL, RAMP } from "../angle-readings.js";

const STOP: SourceId = { kind: "stop", of: "hinge-mitre" };
const SD = 0.05 * DEGREE;
const LENGTH_SD = 0.04;

/** The job with what a record says of a ramp and a stop, and the ramp's and stop's moments over its cases. */
function recordedJob(cases: RecordedPrior["cases"]): Job {
  const recorded: RecordedPrior = { files: ["jigs.yaml"], sources: [RAMP, STOP], cases };
  const { mean, covariance } = momentsOfCases(cases);
  return {
    ...angleJob,
    recorded,
    jigs: angleJob.jigs.map((jig) =>
      jig.name === RAMP.of ? { ...jig, priorMean: mean[0]!, priorSd: Math.sqrt(covariance[0]!) } : jig,
    ),
    setUps: angleJob.setUps.map((setUp) =>
      setUp.name === STOP.of && setUp.stop
        ? { ...setUp, stop: { ...setUp.stop, priorMean: mean[1]!, priorSd: Math.sqrt(covariance[3]!) } }
        : setUp,
    ),
  };
}

const tied = (share: number, ramp: number, stop: number, r: number) => ({
  share,
  mean: [ramp * DEGREE, stop],
  covariance: [SD ** 2, r * SD * LENGTH_SD, r * SD * LENGTH_SD, LENGTH_SD ** 2],
});
const placesIn = (job: Job): readonly [number, number] => {
  const sources = jobSources(job);
  const place = (id: SourceId): number => sources.findIndex((source) => sameSource(source.id, id));
  return [place(RAMP), place(STOP)];
};

describe("what a record says of two sources together", () => {
  const job = recordedJob([tied(1, 0.3, 0.1, -0.8)]);
  const [ramp, stop] = placesIn(job);

  it("is what is known without readings", () => {
    const { basis, normal, sources, estimates, covariance, sample } = jobPosterior(job, []);
    const p = sources.length;
    expect(basis.records).toEqual(["jigs.yaml"]);
    expect(normal).toBe(true);
    expect([estimates[ramp], estimates[stop]]).toEqual([0.3 * DEGREE, 0.1]);
    expect(covariance[ramp * p + stop]! / (SD * LENGTH_SD)).toBeCloseTo(-0.8, 9);
    const drawn = momentsOf(sample, p).covariance;
    expect(
      drawn[ramp * p + stop]! / Math.sqrt(drawn[ramp * p + ramp]! * drawn[stop * p + stop]!),
    ).toBeCloseTo(-0.8, 1);
  });

  it("tells the stop by a reading of the ramp: the closed form of two tied normals", () => {
    const read = [0.45, 0.41].map((error, k) => angleReading(`t${k}`, LABEL + error * DEGREE));
    // At the scatter that the job states, where the closed form holds.
    const { sources, estimates, covariance, mode } = fitSources(job, read, { estimateBetweenCutSds: false });
    const p = sources.length;
    const variance = ANGLE_VARIANCE / 2;
    const gain = SD ** 2 / (SD ** 2 + variance);
    const shift = gain * (0.43 - 0.3) * DEGREE;
    expect(estimates[ramp]).toBeCloseTo(0.3 * DEGREE + shift, 9);
    // cov(stop, ramp)/var(ramp) = −0.8 · 0.04 mm/0.05°.
    expect(estimates[stop]).toBeCloseTo(0.1 - (0.8 * LENGTH_SD * shift) / SD, 9);
    expect(covariance[stop * p + stop]).toBeCloseTo(LENGTH_SD ** 2 * (1 - 0.64 * gain), 9);
    expect(mode().estimates[stop]).toBeCloseTo(estimates[stop]!, 6);
  });
});

describe("a record of two sides", () => {
  const job = recordedJob([tied(0.7, 0.3, 0.1, 0), tied(0.3, -0.3, -0.1, 0)]);
  const [ramp, stop] = placesIn(job);
  const sidesOf = (posterior: ReturnType<typeof jobPosterior>): { above: number; between: number } => {
    const p = posterior.sources.length;
    const at = Array.from({ length: posterior.draws }, (_, d) => posterior.sample[d * p + ramp]! / DEGREE);
    const share = (wanted: (value: number) => boolean): number => at.filter(wanted).length / at.length;
    return { above: share((value) => value > 0), between: share((value) => Math.abs(value) < 0.1) };
  };

  it("has two sides without readings, and hardly anything between them", () => {
    const posterior = jobPosterior(job, []);
    expect(posterior.normal).toBe(false);
    const { above, between } = sidesOf(posterior);
    expect(above).toBeCloseTo(0.7, 1);
    expect(between).toBe(0);
  });

  it("has them still after readings of something else", () => {
    const other = ["a", "b"].map((trial) => ({
      ...angleReading(trial, 45.1 * DEGREE),
      setUp: "diagonal-start",
      subject: "start-left",
    }));
    const { above, between } = sidesOf(jobPosterior(job, other));
    // Some hundred effective draws: four standard errors of 0.04.
    expect(Math.abs(above - 0.7)).toBeLessThan(0.17);
    expect(between).toBeLessThan(0.01);
  });

  it("is weighed by a reading as the closed form says", () => {
    // One reading near the middle: how much likelier each side makes it.
    const read = 0.015 * DEGREE;
    const variance = SD ** 2 + ANGLE_VARIANCE;
    const likelihood = (mean: number): number => Math.exp(-((read - mean) ** 2) / 2 / variance);
    const [above, below] = [0.7 * likelihood(0.3 * DEGREE), 0.3 * likelihood(-0.3 * DEGREE)];
    const posterior = jobPosterior(job, [angleReading("t", LABEL + read)]);
    expect(above / (above + below)).toBeGreaterThan(0.75);
    expect(Math.abs(sidesOf(posterior).above - above / (above + below))).toBeLessThan(0.12);
    const p = posterior.sources.length;
    // The stop goes with the side.
    const drawn = momentsOf(posterior.sample, p).covariance;
    expect(
      drawn[ramp * p + stop]! / Math.sqrt(drawn[ramp * p + ramp]! * drawn[stop * p + stop]!),
    ).toBeGreaterThan(0.4);
  });
});
