import { describe, expect, it } from "vitest";
import { normalCdf } from "../../../src/core/numeric/normal.js";
import { gaussLegendre } from "../../../src/core/numeric/quadrature.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import type { Job } from "../../../src/model/job/job.js";
import type { Reading } from "../../../src/model/readings.js";
import { sameSource } from "../../../src/model/source-id.js";
import { ANGLE_VARIANCE, angleJob, angleReading, DEGREE, LABEL, PRIOR_SD, RAMP } from "../angle-readings.js";

const CUT_TO_CUT = Math.sqrt(ANGLE_VARIANCE);
const SEEDS = 12;

/** Moments of a density on ±6 prior standard deviations, known but for a factor, by Gauss–Legendre quadrature in many panels. */
function byQuadrature(density: (x: number) => number): {
  mean: number;
  sd: number;
  cdf: (x: number) => number;
} {
  const { nodes, weights } = gaussLegendre(8);
  const integral = (of: (x: number) => number, to = 6 * PRIOR_SD): number => {
    const [from, panels] = [-6 * PRIOR_SD, 400];
    let sum = 0;
    for (let panel = 0; panel < panels; panel++) {
      const [half, middle] = [(to - from) / panels / 2, from + ((to - from) * (panel + 0.5)) / panels];
      for (const [k, node] of nodes.entries()) sum += half * weights[k]! * of(middle + half * node);
    }
    return sum;
  };
  const total = integral(density);
  const mean = integral((x) => x * density(x)) / total;
  const variance = integral((x) => (x - mean) ** 2 * density(x)) / total;
  return { mean, sd: Math.sqrt(variance), cdf: (x) => integral(density, x) / total };
}

const prior = (x: number): number => Math.exp(-((x / PRIOR_SD) ** 2) / 2);

interface OneParameter {
  readonly job: Job;
  readonly readings: readonly Reading[];
  readonly truth: ReturnType<typeof byQuadrature>;
}

/** One ramp's posterior; the cut's error is integrated out by hand, since the sum of two normal errors is normal. */
const CASES: Readonly<Record<string, OneParameter>> = {
  "intervals, one of them open": (() => {
    const intervals = [
      [0.2 * DEGREE, 0.5 * DEGREE],
      [0.45 * DEGREE, Number.POSITIVE_INFINITY],
    ] as const;
    const likelihood = (x: number): number =>
      intervals.reduce(
        (product, [low, high]) =>
          product * (normalCdf((high - x) / CUT_TO_CUT) - normalCdf((low - x) / CUT_TO_CUT)),
        1,
      );
    return {
      job: angleJob,
      readings: intervals.map(([low, high], k) => angleReading(`t${k}`, [LABEL + low, LABEL + high])),
      truth: byQuadrature((x) => prior(x) * likelihood(x)),
    };
  })(),
  "two values of which either may be a gross mistake": (() => {
    const [values, mistakes] = [[-0.7 * DEGREE, 0.7 * DEGREE], 0.2] as const;
    // A mistake is anywhere within 10 degrees, about as likely.
    const flat = 1 / (10 * DEGREE);
    const good = (z: number): number => Math.exp((-z * z) / 2) / CUT_TO_CUT / Math.sqrt(2 * Math.PI);
    const likelihood = (x: number): number =>
      values.reduce(
        (product, value) => product * (mistakes * flat + (1 - mistakes) * good((value - x) / CUT_TO_CUT)),
        1,
      );
    return {
      job: { ...angleJob, mistakes },
      readings: values.map((value, k) => angleReading(`t${k}`, LABEL + value)),
      truth: byQuadrature((x) => prior(x) * likelihood(x)),
    };
  })(),
};

for (const [name, { job, readings, truth }] of Object.entries(CASES))
  describe(`the posterior of one ramp from ${name}`, () => {
    const fits = Array.from({ length: SEEDS }, (_, seed) => {
      const { sources, effectiveSampleSize } = fitSources(job, readings, {
        estimateBetweenCutSds: false,
        seed,
      });
      return { ramp: sources.find(({ id }) => sameSource(id, RAMP))!, effectiveSampleSize };
    });

    it("has the mean and standard deviation that quadrature finds, within the error of its draws", () => {
      for (const { ramp, effectiveSampleSize: n } of fits) {
        expect(n).toBeGreaterThan(100);
        expect(Math.abs(ramp.estimate - truth.mean) / truth.sd).toBeLessThan(4 / Math.sqrt(n));
        expect(Math.abs(ramp.standardUncertainty / truth.sd - 1)).toBeLessThan(5 / Math.sqrt(2 * n));
      }
    });

    it("leaves 2.5 % on either side of its interval, on average over seeds", () => {
      const tails = fits.flatMap(({ ramp: { interval } }) => [
        truth.cdf(interval[0]),
        1 - truth.cdf(interval[1]),
      ]);
      const mean = tails.reduce((sum, tail) => sum + tail, 0) / tails.length;
      expect(mean).toBeGreaterThan(0.015);
      expect(mean).toBeLessThan(0.035);
    });

    it("differs from seed to seed by as much as its effective sample size says", () => {
      // (mean − truth)·√n/sd is about standard normal: twelve squares add to χ² with 12 degrees of freedom, 2.6 to 36 in 998 of 1000 cases.
      const squares = fits.map(
        ({ ramp, effectiveSampleSize: n }) => n * ((ramp.estimate - truth.mean) / truth.sd) ** 2,
      );
      const sum = squares.reduce((a, b) => a + b, 0);
      expect(sum).toBeGreaterThan(2.2);
      expect(sum).toBeLessThan(36);
    });

    it("comes out the same from the same seed", () => {
      const [again] = [fitSources(job, readings, { estimateBetweenCutSds: false, seed: 3 })];
      const ramp = again.sources.find(({ id }) => sameSource(id, RAMP))!;
      expect(ramp).toEqual(fits[3]!.ramp);
      expect(ramp.estimate).not.toBe(fits[4]!.ramp.estimate);
    });
  });
