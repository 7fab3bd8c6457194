import { describe, expect, it } from "vitest";
import { normalCdf } from "../../../src/core/numeric/normal.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import type { Reading } from "../../../src/model/readings.js";
import { sameSource } from "../../../src/model/source-id.js";
import { ANGLE_VARIANCE, angleJob, angleReading, DEGREE, LABEL, PRIOR_SD, RAMP } from "../angle-readings.js";

const CUT = angleJob.betweenCutSd.angle;
const GAUGE = ANGLE_VARIANCE - CUT ** 2;

interface Moments {
  readonly mean: number;
  readonly sd: number;
  /** Root of the mean square of the scatter's ratio to the stated one. */
  readonly ratio: number;
}

/**
 * Moments of one ramp x and the log of the scatter's ratio s to the stated one, by the trapezoidal rule on a fine grid of both, with the prior written out here a second time: the
 * variance's is scaled inverse χ² with 6 degrees of freedom.
 */
function byQuadrature(likelihood: (x: number, s: number) => number): Moments {
  let [total, first, second, squares] = [0, 0, 0, 0];
  for (let log = -1.6; log <= 4; log += 0.02) {
    const s = Math.exp(log);
    const priorOfScatter = Math.exp(-6 * log - 3 / s ** 2);
    for (let k = -600; k <= 600; k++) {
      const x = (k / 100) * PRIOR_SD;
      const density = priorOfScatter * Math.exp(-((x / PRIOR_SD) ** 2) / 2) * likelihood(x, s);
      total += density;
      first += density * x;
      second += density * x * x;
      squares += density * s * s;
    }
  }
  const mean = first / total;
  return { mean, sd: Math.sqrt(second / total - mean ** 2), ratio: Math.sqrt(squares / total) };
}

const fitted = (readings: readonly Reading[], seed: number) => {
  const fit = fitSources(angleJob, readings, { seed, alsoWithoutPriors: false });
  const ramp = fit.sources.find(({ id }) => sameSource(id, RAMP))!;
  return { fit, ramp, ratio: fit.betweenCutSd.angle.used / CUT };
};

describe("a ramp and a scatter that both are unknown", () => {
  // Four cuts that differ by more than the job says cuts do.
  const errors = [0.9, 0.2, -0.1, 0.6].map((degrees) => degrees * DEGREE);

  it("have the moments that quadrature finds, to 1e-6, where angles were measured", () => {
    const readings = errors.map((error, k) => angleReading(`t${k}`, LABEL + error));
    const truth = byQuadrature((x, s) => {
      const variance = GAUGE + (CUT * s) ** 2;
      return errors.reduce(
        (product, error) => (product * Math.exp(-((error - x) ** 2) / (2 * variance))) / Math.sqrt(variance),
        1,
      );
    });
    const { ramp, fit, ratio } = fitted(readings, 1);
    expect(Math.abs(ramp.estimate - truth.mean) / truth.sd).toBeLessThan(1e-6);
    expect(Math.abs(ramp.standardUncertainty / truth.sd - 1)).toBeLessThan(1e-6);
    // The scatter is reported from draws.
    expect(Math.abs(ratio / truth.ratio - 1)).toBeLessThan(0.06);
    expect(truth.ratio).toBeGreaterThan(2);
    // A larger scatter makes the ramp less certain than the job's would.
    const known = fitSources(angleJob, readings, { estimateBetweenCutSds: false }).sources.find(({ id }) =>
      sameSource(id, RAMP),
    )!;
    expect(ramp.standardUncertainty / known.standardUncertainty).toBeGreaterThan(1.3);
    expect(fit.betweenCutSd.angle.interval[0]).toBeLessThan(fit.betweenCutSd.angle.used);
    expect(fit.betweenCutSd.angle.degreesOfFreedom).toBeGreaterThan(0);
  });

  it("have them within the error of the draws where only intervals are known", () => {
    const half = 0.15 * DEGREE;
    const intervals = errors.map((error) => [error - half, error + half] as const);
    const readings = intervals.map(([low, high], k) => angleReading(`t${k}`, [LABEL + low, LABEL + high]));
    const truth = byQuadrature((x, s) => {
      const sd = Math.sqrt(GAUGE + (CUT * s) ** 2);
      return intervals.reduce(
        (product, [low, high]) => product * (normalCdf((high - x) / sd) - normalCdf((low - x) / sd)),
        1,
      );
    });
    for (const seed of [1, 2, 3, 4]) {
      const { ramp, fit, ratio } = fitted(readings, seed);
      const n = fit.effectiveSampleSize;
      expect(n).toBeGreaterThan(300);
      expect(Math.abs(ramp.estimate - truth.mean) / truth.sd).toBeLessThan(4 / Math.sqrt(n));
      expect(Math.abs(ramp.standardUncertainty / truth.sd - 1)).toBeLessThan(6 / Math.sqrt(2 * n));
      expect(Math.abs(ratio / truth.ratio - 1)).toBeLessThan(0.12);
    }
  });
});
