import { describe, expect, it } from "vitest";
import { calibrateJob } from "../../src/inference/calibrate-job.js";
import { cellsOfShops, forecastOf } from "../../src/inference/calibration-forecast.js";
import { drawCells, errorsOfDraw, noMoves, outcomesOf } from "../../src/inference/decision/drawn-cells.js";
import { fitSources } from "../../src/inference/estimates/fit-sources.js";
import { jobPosterior } from "../../src/inference/job-posterior.js";
import { cellSpecimen, errorsFrom, jobSources } from "../../src/inference/likelihood/specimen.js";
import type { Job } from "../../src/model/job/job.js";
import { sameSource } from "../../src/model/source-id.js";
import { predictCell } from "../../src/physics/predict/predict-cell.js";
import { longIt } from "../tools/longer.js";
import { ANGLE_VARIANCE, angleJob, angleReading, DEGREE, LABEL, RAMP } from "./angle-readings.js";
import { demoJob, demoReadings } from "./demo.js";

const readings = [0.35, 0.5, 0.41, 0.44].map((error, k) => angleReading(`t${k}`, LABEL + error * DEGREE));
const calibration = calibrateJob(angleJob, readings, { seed: 1, draws: 2000 });
const ramp = calibration.fit.sources.findIndex(({ id }) => sameSource(id, RAMP));

describe("a calibration from angles", () => {
  it("refuses to start from no readings", () => {
    expect(() => calibrateJob(angleJob, [])).toThrow(RangeError);
  });

  it("reports each of its four steps once", () => {
    const steps: string[] = [];
    calibrateJob(angleJob, readings.slice(0, 1), { draws: 100, onProgress: (step) => steps.push(step) });
    expect(steps).toHaveLength(4);
    expect(new Set(steps).size).toBe(4);
  });

  it("tells how far the sampling has come, where the posterior is sampled", () => {
    const further: string[] = [];
    jobPosterior(demoJob, demoReadings.filter(({ what }) => what === "gap").slice(0, 2), {
      onProgress: Object.assign(() => {}, { further: (step: string) => further.push(step) }),
    });
    expect(further[0]).toBe("fitting the jigs and stops to the readings: stage 1 of the search");
    expect(further.at(-1)).toBe("fitting the jigs and stops to the readings: 100 % of the draws");
  });

  it("has residuals that are each reading's distance from the ramp's angle, in standard deviations of a reading", () => {
    const { estimate } = calibration.fit.sources[ramp]!;
    for (const { reading, residual, outlier } of calibration.residuals) {
      const z = (reading.value! - LABEL - estimate) / Math.sqrt(ANGLE_VARIANCE);
      // A rank among 250 draws.
      expect(Math.abs(residual - z)).toBeLessThan(0.35);
      expect(outlier).toBe(false);
    }
    const far = calibrateJob(angleJob, [...readings, angleReading("far", LABEL + 2 * DEGREE)], {
      draws: 100,
    });
    expect(far.residuals.filter(({ outlier }) => outlier).map(({ reading }) => reading.id)).toContain(
      "angle of far",
    );
  });

  longIt("comes out the same from the same seed", () => {
    const again = calibrateJob(angleJob, readings, { seed: 1, draws: 2000 });
    expect(again.verdict).toEqual(calibration.verdict);
    expect(again.residuals).toEqual(calibration.residuals);
    expect(again.decision).toEqual(calibration.decision);
    expect(again.before).toEqual(calibration.before);
    expect(again.after).toEqual(calibration.after);
  });

  it("differs from seed to seed by no more than it says", () => {
    const other = calibrateJob(angleJob, readings, { seed: 2, draws: 2000 });
    const error = Math.hypot(calibration.before.closesUncertainty, other.before.closesUncertainty);
    expect(Math.abs(calibration.before.closes - other.before.closes)).toBeLessThan(4 * error);
    expect(other.before.closes).not.toBe(calibration.before.closes);
  });
});

describe("the forecast of a calibration", () => {
  const specimen = cellSpecimen(angleJob);
  const fit = fitSources(angleJob, readings, { estimateBetweenCutSds: false });
  const drawn = drawCells(angleJob, specimen, { ...fit, draws: 500, seed: 5 });
  const still = noMoves(fit.sources.length);

  it("counts the cells whose gap and press keep the limits, with the standard error of A. Agresti and B. A. Coull", () => {
    const { widestGap, deepestPress } = outcomesOf(drawn, still);
    const { gap, snug } = angleJob.limits;
    const n = [...widestGap].filter((open, i) => open <= gap && deepestPress[i]! <= snug).length;
    const forecast = forecastOf(drawn, still);
    const share = (n + 2) / 504;
    expect(forecast.closes).toBe(n / 500);
    expect(forecast.closesUncertainty).toBeCloseTo(Math.sqrt((share * (1 - share)) / 504), 12);
    // Half of the cells have a gap below the median, 2.5 % one below the interval.
    const below = (value: number): number => [...widestGap].filter((open) => open < value).length;
    expect(below(forecast.gap.median)).toBe(250);
    expect(below(forecast.gap.interval[0])).toBeGreaterThanOrEqual(12);
    expect(below(forecast.gap.interval[0])).toBeLessThanOrEqual(13);
  });

  it("is the predicted cell where every source is known and no cut differs from the next", () => {
    const certain: Job = {
      ...angleJob,
      betweenCutSd: { angle: 0, length: 0, thickness: 0 },
      grid: { offset: 0, turn: 0 },
    };
    const sources = jobSources(certain);
    const at = Float64Array.from(sources, ({ id }) => (sameSource(id, RAMP) ? 1.2 * DEGREE : 0));
    const own = cellSpecimen(certain);
    const cells = drawCells(certain, own, {
      estimates: at,
      covariance: new Float64Array(at.length ** 2),
      sample: at,
      draws: 3,
      seed: 1,
    });
    const { widestGap } = predictCell(own.cell, errorsFrom(own, at), {
      order: "first",
      pressRatio: certain.pressRatio,
    });
    const forecast = forecastOf(cells, noMoves(at.length));
    expect(widestGap).toBeGreaterThan(certain.limits.gap);
    for (const gap of [forecast.gap.median, ...forecast.gap.interval]) expect(gap).toBeCloseTo(widestGap, 9);
    expect(forecast.closes).toBe(0);
  });
});

describe("a calibration's forecast of the shops that its readings allow", () => {
  longIt("counts those shops in its standard error, and is corrected to exact order", () => {
    const specimen = cellSpecimen(demoJob);
    const posterior = jobPosterior(demoJob, []);
    const still = noMoves(posterior.sources.length);
    const of = (draws: number, sample = posterior.sample) =>
      drawCells(demoJob, specimen, { ...posterior, sample, draws, seed: 7 });
    const shops = { posterior, cells: cellsOfShops(demoJob, specimen, posterior, 8) };
    const cells = of(4096);
    const [plain, told] = [forecastOf(cells, still), forecastOf(cells, still, shops)];
    // 4,096 cells of 1,024 shops whose chances to close lie anywhere between 0 and 1.
    expect(told.closesUncertainty).toBeGreaterThan(1.4 * plain.closesUncertainty);
    expect(told.shops!.closes[0]!.value).toBeLessThan(0.02);
    expect(told.shops!.closes.at(-1)!.value).toBeGreaterThan(0.9);
    // The same cells in exact order, as far as they can be seated, by the readable solver.
    const gaps = Array.from({ length: 150 }, (_, d) => {
      const errors = errorsOfDraw(cells, still, d);
      const exact = predictCell(specimen.cell, errors, { order: "exact", pressRatio: demoJob.pressRatio });
      const first = predictCell(specimen.cell, errors, { order: "first", pressRatio: demoJob.pressRatio });
      return exact.widestGap - first.widestGap;
    }).map(Math.abs);
    expect(told.orderDifference.largest).toBeGreaterThanOrEqual(Math.max(...gaps) - 1e-9);
    expect(told.orderDifference.cells).toBeGreaterThan(1500);
  });
});
