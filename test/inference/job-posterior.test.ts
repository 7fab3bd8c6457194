import { describe, expect, it } from "vitest";
import { at, entryOf, rowsOf } from "../../src/core/numeric/dense.js";
import { jobPosterior, withScatters } from "../../src/inference/job-posterior.js";
import { momentsOf } from "../../src/inference/posterior/trial-distribution.js";
import { sameSource } from "../../src/model/source-id.js";
import { ANGLE_VARIANCE, angleJob, angleReading, DEGREE, LABEL, PRIOR_SD, RAMP } from "./angle-readings.js";
import { demoJob } from "./demo.js";

describe("the posterior of a job", () => {
  it("without readings is the prior: draws with its mean and standard deviations, independent", () => {
    const job = {
      ...demoJob,
      jigs: demoJob.jigs.map((jig, i) => (i === 0 ? { ...jig, priorMean: 0.3 * DEGREE } : jig)),
    };
    const { basis, state, normal, fit, sources, sample, draws, estimates, covariance } = jobPosterior(
      job,
      [],
    );
    expect({ basis, state, normal, fit }).toEqual({
      basis: { readings: 0, pieces: 0, records: [] },
      state: "as they stand",
      normal: true,
      fit: null,
    });
    const p = sources.length;
    expect(estimates[0]).toBe(0.3 * DEGREE);
    const drawn = momentsOf(sample, p);
    for (const [i, { priorSd, priorMean = 0 }] of sources.entries()) {
      expect(entryOf(covariance, i, i, p)).toBeCloseTo(priorSd ** 2, 15);
      // Four standard errors of a mean and of a variance of so many draws.
      expect(Math.abs(drawn.mean[i]! - priorMean) / priorSd).toBeLessThan(4 / Math.sqrt(draws));
      const ratio = entryOf(drawn.covariance, i, i, p) / priorSd ** 2;
      expect(Math.abs(ratio - 1)).toBeLessThan(4 * Math.sqrt(2 / draws));
      for (let j = 0; j < i; j++) {
        const scale = priorSd * sources[j]!.priorSd;
        expect(Math.abs(entryOf(drawn.covariance, i, j, p)) / scale).toBeLessThan(4.5 / Math.sqrt(draws));
      }
    }
  });

  it("is drawn anew by another seed, and alike by the same", () => {
    const [one, same, other] = [1, 1, 2].map((seed) => jobPosterior(demoJob, [], { seed }).sample);
    expect(same).toEqual(one);
    expect(other).not.toEqual(one);
  });

  it("of angles is the one in closed form, and names what it rests on", () => {
    const readings = ["a", "a", "b"].map((trial, k) =>
      angleReading(trial, LABEL + (0.5 + 0.02 * k) * DEGREE),
    );
    const [first, , third] = readings;
    const { basis, sources, estimates, covariance } = jobPosterior(angleJob, [first!, third!]);
    expect(basis).toEqual({ readings: 2, pieces: 2, records: [] });
    const i = sources.findIndex(({ id }) => sameSource(id, RAMP));
    // At the scatter that the job states; the scatter is unknown too, so the ramp is a little less certain.
    const precision = 1 / PRIOR_SD ** 2 + 2 / ANGLE_VARIANCE;
    const sd = Math.sqrt(entryOf(covariance, i, i, sources.length));
    expect(Math.abs(at(estimates, i) * precision * ANGLE_VARIANCE - 2 * 0.52 * DEGREE)).toBeLessThan(
      0.02 * DEGREE,
    );
    expect(sd * Math.sqrt(precision)).toBeGreaterThan(0.95);
    expect(sd * Math.sqrt(precision)).toBeLessThan(1.1);
    expect(jobPosterior(angleJob, readings).basis).toEqual({ readings: 3, pieces: 2, records: [] });
  });

  it("has the scatters of the fit in every draw, and the job's without readings", () => {
    const stated = jobPosterior(demoJob, []);
    for (const row of rowsOf(stated.scatters, 3))
      expect([...row]).toEqual([
        demoJob.betweenCutSd.angle,
        demoJob.betweenCutSd.length,
        demoJob.betweenCutSd.thickness,
      ]);
    const { betweenCutSd } = withScatters(demoJob, stated);
    for (const of of ["angle", "length", "thickness"] as const)
      expect(betweenCutSd[of]).toBeCloseTo(demoJob.betweenCutSd[of], 14);
    // Twelve angles that scatter by far more than the job says raise the scatter.
    const wild = Array.from({ length: 12 }, (_, k) =>
      angleReading(`t${k}`, LABEL + (k % 2 ? 0.4 : -0.4) * DEGREE),
    );
    const posterior = jobPosterior(angleJob, wild);
    expect(posterior.scatters.length).toBe(3 * posterior.draws);
    expect(withScatters(angleJob, posterior).betweenCutSd.angle).toBeGreaterThan(
      2 * angleJob.betweenCutSd.angle,
    );
  });
});
