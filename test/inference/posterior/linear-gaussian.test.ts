import { describe, expect, it } from "vitest";
import { symmetricInverse } from "../../../src/core/numeric/linear-algebra.js";
import { fitSources, type SourceFit } from "../../../src/inference/estimates/fit-sources.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { expectValues } from "../../../src/inference/likelihood/trial-blocks.js";
import { targetDensity } from "../../../src/inference/posterior/posterior-mode.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Reading } from "../../../src/model/readings.js";
import { sameSource } from "../../../src/model/source-id.js";
import { ANGLE_VARIANCE, angleJob, angleReading, DEGREE, LABEL, PRIOR_SD, RAMP } from "../angle-readings.js";
import { demoReadings } from "../demo.js";

const fitAngles = (readings: readonly Reading[], job: Job = angleJob, seed = 1): SourceFit =>
  fitSources(job, readings, { estimateBetweenCutSds: false, seed });
const rampOf = ({ sources }: SourceFit) => sources.find(({ id }) => sameSource(id, RAMP))!;

describe("the posterior of one ramp from angles alone", () => {
  const errors = [0.6, 0.3, 0.4].map((degrees) => degrees * DEGREE);

  it("is that of a normal mean with known variance, one reading a trial", () => {
    const readings = errors.map((error, k) => angleReading(`t${k}`, LABEL + error));
    const precision = 1 / PRIOR_SD ** 2 + 3 / ANGLE_VARIANCE;
    const mean = errors.reduce((sum, error) => sum + error / ANGLE_VARIANCE, 0) / precision;
    const found = rampOf(fitAngles(readings));
    expect(found.estimate / mean).toBeCloseTo(1, 9);
    expect(found.standardUncertainty * Math.sqrt(precision)).toBeCloseTo(1, 9);
    expect(found.learned).toBeCloseTo(1 - 1 / (precision * PRIOR_SD ** 2), 9);
  });

  it("shares the cut's own error among readings of one trial: twice read is not two cuts", () => {
    const [first, second] = [0.6 * DEGREE, 0.4 * DEGREE];
    const readings = [first, second].map((error, k) => ({
      ...angleReading("t", LABEL + error),
      id: `reading ${k}`,
    }));
    const cut = (0.06 * DEGREE) ** 2;
    // The mean of the two has the gauge's variance halved and the cut's variance whole.
    const variance = cut + (ANGLE_VARIANCE - cut) / 2;
    const precision = 1 / PRIOR_SD ** 2 + 1 / variance;
    const found = rampOf(fitAngles(readings));
    expect(found.estimate / ((first + second) / 2 / variance / precision)).toBeCloseTo(1, 9);
    expect(found.standardUncertainty * Math.sqrt(precision)).toBeCloseTo(1, 9);
  });

  it("starts from what a record expects", () => {
    const job: Job = {
      ...angleJob,
      jigs: angleJob.jigs.map((jig) => (jig.name === "point-67" ? { ...jig, priorMean: 0.2 * DEGREE } : jig)),
    };
    const precision = 1 / PRIOR_SD ** 2 + 1 / ANGLE_VARIANCE;
    const mean = (0.2 * DEGREE) / PRIOR_SD ** 2 + (0.6 * DEGREE) / ANGLE_VARIANCE;
    expect(
      rampOf(fitAngles([angleReading("t", LABEL + 0.6 * DEGREE)], job)).estimate * precision,
    ).toBeCloseTo(mean, 6);
  });
});

describe("the posterior of all sources from angles, lengths and thicknesses", () => {
  const readings = demoReadings.filter(({ what }) => what !== "gap");
  const found = fitAngles(readings);
  const { mean, covariance } = jointPosterior(angleJob, readings);
  const p = mean.length;

  it("has the mean and covariance of the joint normal distribution of sources and cut-to-cut errors", () => {
    for (let i = 0; i < p; i++) {
      const u = Math.sqrt(covariance[i * p + i]!);
      expect(Math.abs(found.estimates[i]! - mean[i]!) / u).toBeLessThan(1e-6);
      for (let j = 0; j < p; j++) {
        const scale = u * Math.sqrt(covariance[j * p + j]!);
        expect(Math.abs(found.covariance[i * p + j]! - covariance[i * p + j]!) / scale).toBeLessThan(1e-6);
      }
    }
    // Two sources are tied together: the agreement is about more than a diagonal.
    const correlations = Array.from({ length: p * p }, (_, k) => {
      const [i, j] = [Math.floor(k / p), k % p];
      return i === j ? 0 : covariance[k]! / Math.sqrt(covariance[i * p + i]! * covariance[j * p + j]!);
    });
    expect(Math.max(...correlations.map(Math.abs))).toBeGreaterThan(0.1);
  });

  it("is what the draws are of", () => {
    const draws = found.sample.length / p;
    for (let i = 0; i < p; i++) {
      const u = Math.sqrt(covariance[i * p + i]!);
      let [sum, squares] = [0, 0];
      for (let d = 0; d < draws; d++) {
        const z = (found.sample[d * p + i]! - mean[i]!) / u;
        sum += z;
        squares += z * z;
      }
      expect(Math.abs(sum / draws)).toBeLessThan(4 / Math.sqrt(draws));
      expect(Math.abs(squares / draws - 1)).toBeLessThan(4 * Math.sqrt(2 / draws));
    }
  });
});

describe("the prior", () => {
  const untouched: [string, readonly Reading[]][] = [
    ["no reading at all", []],
    [
      "a reading that allows every value",
      [angleReading("t", [Number.NEGATIVE_INFINITY, Number.POSITIVE_INFINITY])],
    ],
  ];
  for (const [name, readings] of untouched)
    it(`is what ${name} leaves`, () => {
      const { sources, effectiveSampleSize } = fitAngles(readings);
      for (const { id, estimate, standardUncertainty, priorSd, interval } of sources) {
        // Draws of a source that a reading might have informed are finite in number.
        const error = readings.length === 0 ? 1e-9 : 4 / Math.sqrt(effectiveSampleSize);
        expect(Math.abs(estimate) / priorSd, id.of).toBeLessThan(error);
        expect(Math.abs(standardUncertainty / priorSd - 1), id.of).toBeLessThan(error);
        expect(Math.abs(interval[1] / priorSd - 1.959964), id.of).toBeLessThan(1e-5 + 4 * error);
      }
    });
});

/** Mean and covariance (rad, mm) of the sources: readings y = f + J·(x, u) + noise under independent standard normals, solved as one dense system of all unknowns. */
function jointPosterior(
  job: Job,
  readings: readonly Reading[],
): { mean: Float64Array; covariance: Float64Array } {
  const sources = jobSources(job);
  const p = sources.length;
  const { blocks } = targetDensity(job, sources, readings);
  const n = p + blocks.reduce((sum, { latents }) => sum + latents, 0);
  const precision = Float64Array.from({ length: n * n }, (_, k) => (k % (n + 1) === 0 ? 1 : 0));
  const right = new Float64Array(n);
  let first = p;
  for (const block of blocks) {
    const at = (unknown: number): Float64Array => {
      const values = sources.map(({ priorSd }, i) => (i === unknown ? priorSd : 0));
      const latents = Float64Array.from({ length: block.latents }, (_, k) => (first + k === unknown ? 1 : 0));
      return expectValues(job, block, Float64Array.from(values), latents);
    };
    const base = at(-1);
    const own = [...Array(p).keys(), ...Array.from({ length: block.latents }, (_, k) => first + k)];
    const columns = own.map((unknown) => at(unknown).map((value, i) => value - base[i]!));
    for (const [i, { value }] of block.readings.entries()) {
      const weight = 1 / block.noise[i]! ** 2;
      for (const [a, row] of own.entries()) {
        right[row]! += weight * columns[a]![i]! * (value! - base[i]!);
        for (const [b, column] of own.entries())
          precision[row * n + column]! += weight * columns[a]![i]! * columns[b]![i]!;
      }
    }
    first += block.latents;
  }
  const all = symmetricInverse(precision, n);
  const unit = sources.map(({ priorSd }) => priorSd);
  return {
    mean: Float64Array.from(unit, (sd, i) => sd * right.reduce((sum, r, k) => sum + all[i * n + k]! * r, 0)),
    covariance: Float64Array.from({ length: p * p }, (_, k) => {
      const [i, j] = [Math.floor(k / p), k % p];
      return unit[i]! * unit[j]! * all[i * n + j]!;
    }),
  };
}
