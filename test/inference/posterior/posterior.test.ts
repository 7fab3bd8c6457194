import { describe, expect, it } from "vitest";
import { symmetricInverse } from "../../../src/core/numeric/linear-algebra.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { profileIntervals } from "../../../src/inference/estimates/intervals.js";
import { blockLoss, likelihoodOf } from "../../../src/inference/likelihood/maximise-likelihood.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { initialGaussian } from "../../../src/inference/posterior/initial-gaussian.js";
import {
  annealToPosterior,
  averageTrialDistributions,
} from "../../../src/inference/posterior/sample-posterior.js";
import { momentsOf } from "../../../src/inference/posterior/trial-distribution.js";
import {
  type ReferenceGaussian,
  type State,
  weightedPosterior,
} from "../../../src/inference/posterior/weighted-posterior.js";
import type { Job } from "../../../src/model/job/job.js";
import { sourceText } from "../../../src/render/source-text.js";
import { logWeights } from "../../core/numeric/log-weights.js";
import { demoJob, demoReadings } from "../demo.js";

const job: Job = { ...demoJob, order: "first" };
const sources = jobSources(job);
const p = sources.length;
const unit = sources.map(({ priorSd }) => priorSd);

describe("a frame", () => {
  const likelihood = likelihoodOf(job, sources, demoReadings);
  const stream = createStream(4);
  const { states } = annealToPosterior(likelihood, stream);
  const frame: ReferenceGaussian = {
    distribution: momentsOf(Float64Array.from(states.flatMap((state) => [...state.sources])), p),
    trials: averageTrialDistributions(likelihood, states.slice(0, 8)),
    exact: false,
  };
  const law = weightedPosterior(likelihood, frame);
  const points = new Float64Array(6 * law.length);
  const rows = Array.from({ length: 6 }, (_, k) => points.subarray(k * law.length, (k + 1) * law.length));
  for (const row of rows) law.draw(row, stream);

  it("gives a state's point back", () => {
    const again = new Float64Array(law.length);
    for (const row of rows) {
      law.writePoint(law.stateOf(row), again);
      for (const [i, value] of again.entries()) expect(Math.abs(value - row[i]!)).toBeLessThan(1e-9);
    }
  });

  it("times its weight is prior times likelihood, as the readable fit has them", () => {
    const weights = logWeights(law, points, 6);
    const differences = rows.map(
      (row, k) => weights[k]! + logFrame(law.stateOf(row), frame) - logPosterior(law.stateOf(row)),
    );
    for (const difference of differences) expect(Math.abs(difference - differences[0]!)).toBeLessThan(1e-6);
    // The weights themselves do differ: the agreement is not for want of anything to agree on.
    expect(Math.max(...weights) - Math.min(...weights)).toBeGreaterThan(0.5);
  });

  it("of what was read in the hand is the law of priors and those readings itself", () => {
    const hand = likelihoodOf(
      job,
      sources,
      demoReadings.filter(({ what }) => what !== "gap"),
    );
    const exact = initialGaussian(hand);
    expect(exact.exact).toBe(true);
    const own = weightedPosterior(hand, exact);
    const states = Array.from({ length: 5 }, () => {
      const point = new Float64Array(own.length);
      own.draw(point, stream);
      return own.stateOf(point);
    });
    const ratios = states.map((state) => logFrame(state, exact) - logPosterior(state, hand));
    for (const ratio of ratios) expect(Math.abs(ratio - ratios[0]!)).toBeLessThan(1e-6);
  });

  it("of readings some of which may be mistakes leaves out the one that lies far off", () => {
    const at = demoReadings.findIndex(({ what }) => what === "length");
    const wrong = demoReadings.map((reading, k) =>
      k === at ? { ...reading, value: reading.value! + 2 } : reading,
    );
    const mean = (readings: typeof wrong, mistakes: number): Float64Array =>
      initialGaussian(likelihoodOf({ ...job, mistakes }, sources, readings)).distribution.mean;
    const [good, suspicious] = [mean(demoReadings, 0.05), mean(wrong, 0.05)];
    const off = (a: Float64Array): number => Math.max(...a.map((value, i) => Math.abs(value - good[i]!)));
    expect(off(suspicious)).toBeLessThan(0.5);
    expect(off(mean(wrong, 0))).toBeGreaterThan(2);
  });

  function logPosterior({ sources: at, latents }: State, { blocks } = likelihood): number {
    const values = at.map((value, i) => value * unit[i]!);
    const prior = at.reduce((sum, value) => sum + value ** 2 / 2, 0);
    return -blocks.reduce((sum, block, b) => sum + blockLoss(job, block, values, latents[b]!), prior);
  }
});

/** −½ of the quadratic form of every normal law; u's precision is I + AᵀA, its mean found by sweeps of Gauss and Seidel. */
function logFrame({ sources: at, latents }: State, { distribution, trials }: ReferenceGaussian): number {
  const precision = symmetricInverse(distribution.covariance, p);
  const dx = at.map((value, i) => value - distribution.mean[i]!);
  let sum = 0;
  for (let i = 0; i < p; i++)
    for (let j = 0; j < p; j++) sum -= (dx[i]! * precision[i * p + j]! * dx[j]!) / 2;
  for (const [b, { a, b: by, y }] of trials.entries()) {
    const n = latents[b]!.length;
    const rows = Array.from(y, (value, i) => ({
      slopes: a.subarray(i * n, (i + 1) * n),
      left: at.reduce((rest, x, c) => rest - by[i * p + c]! * x, value),
    }));
    const mean = new Float64Array(n);
    const misfit = ({ slopes, left }: (typeof rows)[number], u: Float64Array): number =>
      slopes.reduce((s, slope, k) => s + slope * u[k]!, -left);
    for (let sweep = 0; sweep < 4000; sweep++) {
      let moved = 0;
      for (let k = 0; k < n; k++) {
        let [slope, curve] = [mean[k]!, 1];
        for (const row of rows) {
          if (row.slopes[k] === 0) continue;
          slope += row.slopes[k]! * misfit(row, mean);
          curve += row.slopes[k]! ** 2;
        }
        mean[k]! -= slope / curve;
        moved = Math.max(moved, Math.abs(slope / curve));
      }
      if (moved < 1e-12) break;
    }
    const du = latents[b]!.map((value, k) => value - mean[k]!);
    sum -= du.reduce((s, d) => s + d * d, 0) / 2;
    for (const { slopes } of rows) sum -= slopes.reduce((s, slope, k) => s + slope * du[k]!, 0) ** 2 / 2;
  }
  return sum;
}

describe("the posterior", () => {
  it("is exact where every reading is linear: angles alone", () => {
    const angles = demoReadings.filter(({ what }) => what === "angle");
    const fit = fitSources(job, angles, { estimateBetweenCutSds: false });
    const again = fitSources(job, angles, { estimateBetweenCutSds: false, seed: 7 });
    for (const [i, estimate] of again.estimates.entries())
      expect(Math.abs(estimate - fit.estimates[i]!)).toBeLessThan(1e-12);
    for (const [i, { interval, standardUncertainty, estimate, priorSd }] of fit.sources.entries()) {
      expect(interval[1] - estimate).toBeCloseTo(1.959964 * standardUncertainty, 6);
      if (
        !angles.some(({ setUp }) => job.setUps.some((s) => s.name === setUp && s.jig === sources[i]!.id.of))
      )
        expect(standardUncertainty).toBeCloseTo(priorSd, 9);
    }
  });

  it("does not depend on the seed but for the scatter of its draws", () => {
    const one = fitSources(job, demoReadings, { seed: 1 });
    const two = fitSources(job, demoReadings, { seed: 2 });
    for (const [i, { id, estimate, standardUncertainty: u }] of one.sources.entries()) {
      const name = sourceText(id);
      const worth = Math.min(one.effectiveSampleSize, two.effectiveSampleSize);
      expect(worth).toBeGreaterThan(30);
      const scatter = u * Math.sqrt(2 / worth);
      expect(Math.abs(estimate - two.sources[i]!.estimate), name).toBeLessThan(4 * scatter);
      expect(two.sources[i]!.standardUncertainty / u, name).toBeGreaterThan(0.6);
      expect(two.sources[i]!.standardUncertainty / u, name).toBeLessThan(1.6);
    }
  });

  it("agrees with profile likelihood where values were read, and is no narrower where joints close", () => {
    const values = demoReadings.filter(({ value, bench }) => value !== null && bench !== "cell");
    const precise = fitSources(job, values, { estimateBetweenCutSds: false });
    for (const [i, [low, high]] of profileIntervals(precise).entries()) {
      const { id, interval } = precise.sources[i]!;
      const name = sourceText(id);
      expect((interval[1] - interval[0]) / (high - low), name).toBeGreaterThan(0.85);
      expect((interval[1] - interval[0]) / (high - low), name).toBeLessThan(1.2);
    }
  });
});

describe("a source that no reading depends on", () => {
  it("is left exactly as it was, whatever else is drawn", () => {
    // A closed joint makes the rest of the posterior anything but normal.
    const closed = demoReadings.filter(({ bench, setUp }) => bench === "corner-90" && setUp !== null);
    expect(closed.some(({ value }) => value === null)).toBe(true);
    const { sources: found } = fitSources(job, closed, { estimateBetweenCutSds: false });
    const bevel = found.find(({ id }) => sourceText(id) === "ramp of bevel-22")!;
    expect(bevel.estimate).toBe(0);
    expect(bevel.standardUncertainty).toBeCloseTo(bevel.priorSd, 12);
    expect(bevel.learned).toBeCloseTo(0, 12);
    expect(bevel.interval[1] / bevel.priorSd).toBeCloseTo(1.959964, 5);
    expect(found.find(({ id }) => sourceText(id) === "ramp of point-45")!.learned).toBeGreaterThan(0.2);
  });
});
