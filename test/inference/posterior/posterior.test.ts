import { describe, expect, it } from "vitest";
import { symmetricInverse } from "../../../src/core/numeric/linear-algebra.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { initialGaussian } from "../../../src/inference/posterior/initial-gaussian.js";
import { blockLoss, targetDensity } from "../../../src/inference/posterior/posterior-mode.js";
import {
  PosteriorWalk,
  type ReferenceGaussian,
  type State,
} from "../../../src/inference/posterior/posterior-walk.js";
import {
  annealToPosterior,
  averageTrialDistributions,
} from "../../../src/inference/posterior/sample-posterior.js";
import { momentsOf } from "../../../src/inference/posterior/trial-distribution.js";
import type { Job } from "../../../src/model/job/job.js";
import { sourceText } from "../../../src/render/source-text.js";
import { demoJob, demoReadings } from "../demo.js";

const job: Job = { ...demoJob, order: "first" };
const sources = jobSources(job);
const p = sources.length;
const unit = sources.map(({ priorSd }) => priorSd);

describe("a reference Gaussian", () => {
  const target = targetDensity(job, sources, demoReadings);
  const stream = createStream(4);
  const annealed = annealToPosterior(target, { stream, scatters: true });
  const reference: ReferenceGaussian = {
    distribution: momentsOf(Float64Array.from(annealed.flatMap((state) => [...state.sources])), p),
    trials: averageTrialDistributions(target, annealed.slice(0, 8)),
  };

  it("times its weight is prior times likelihood, as the readable fit has them, at any scatters", () => {
    for (const [angle, length, thickness] of [
      [1, 1, 1],
      [1.5, 0.7, 2],
    ] as const) {
      const states = annealed
        .slice(0, 6)
        .map((state) => ({ ...state, ratios: Float64Array.of(angle, length, thickness) }));
      const walk = new PosteriorWalk(target, reference, { walkers: 6, stream, scatters: true });
      walk.start(states);
      const weights = walk.logWeights();
      const { betweenCutSd } = job;
      const scattered = {
        ...job,
        betweenCutSd: {
          angle: angle * betweenCutSd.angle,
          length: length * betweenCutSd.length,
          thickness: thickness * betweenCutSd.thickness,
        },
      };
      const exact = targetDensity(scattered, sources, demoReadings);
      const ratioOf = { angle, axial: length, thickness, lean: 1, turn: 1, offset: 1 };
      const differences = walk.states().map((state, k) => {
        const standardised = state.latents.map((own, b) =>
          own.map((u, i) => u / ratioOf[target.blocks[b]!.kinds[i]!]),
        );
        // A deviation z of an error that is not centred is in units of its scatter.
        return (
          weights[k]! +
          logReference(walk.deviationsOf(k), state.sources, reference) -
          logPosterior({ ...state, latents: standardised }, exact)
        );
      });
      for (const difference of differences) expect(Math.abs(difference - differences[0]!)).toBeLessThan(1e-5);
      // The weights themselves do differ: the agreement is not for want of anything to agree on.
      expect(Math.max(...weights) - Math.min(...weights)).toBeGreaterThan(0.5);
    }
  });

  it("gives a state back", () => {
    const walk = new PosteriorWalk(target, reference, { walkers: 5, stream, scatters: true });
    const states = annealed.slice(0, 5);
    walk.start(states);
    for (const [k, state] of walk.states().entries()) {
      for (const [i, x] of state.sources.entries()) expect(x).toBe(states[k]!.sources[i]);
      for (const [b, own] of state.latents.entries())
        for (const [i, u] of own.entries())
          expect(Math.abs(u - states[k]!.latents[b]![i]!)).toBeLessThan(1e-9);
    }
  });

  it("of readings some of which may be mistakes leaves out the one that lies far off", () => {
    const at = demoReadings.findIndex(({ what }) => what === "length");
    const wrong = demoReadings.map((reading, k) =>
      k === at ? { ...reading, value: reading.value! + 2 } : reading,
    );
    const mean = (readings: typeof wrong, mistakes: number): Float64Array =>
      initialGaussian(targetDensity({ ...job, mistakes }, sources, readings)).distribution.mean;
    const [good, suspicious] = [mean(demoReadings, 0.05), mean(wrong, 0.05)];
    const off = (a: Float64Array): number => Math.max(...a.map((value, i) => Math.abs(value - good[i]!)));
    expect(off(suspicious)).toBeLessThan(0.5);
    expect(off(mean(wrong, 0))).toBeGreaterThan(2);
  });

  function logPosterior({ sources: at, latents }: State, { blocks } = target): number {
    const values = at.map((value, i) => value * unit[i]!);
    const prior = at.reduce((sum, value) => sum + value ** 2 / 2, 0);
    return -blocks.reduce((sum, block, b) => sum + blockLoss(job, block, values, latents[b]!), prior);
  }
});

/** −½ of the quadratic form of every normal distribution: of the sources, and of the deviations of each trial, whose precision is I + AᵀA. */
function logReference(
  deviations: readonly Float64Array[],
  x: Float64Array,
  { distribution, trials }: ReferenceGaussian,
): number {
  const precision = symmetricInverse(distribution.covariance, p);
  const dx = x.map((value, i) => value - distribution.mean[i]!);
  let sum = 0;
  for (let i = 0; i < p; i++)
    for (let j = 0; j < p; j++) sum -= (dx[i]! * precision[i * p + j]! * dx[j]!) / 2;
  for (const [b, { a, y }] of trials.entries()) {
    const du = deviations[b]!;
    const n = du.length;
    sum -= du.reduce((s, d) => s + d * d, 0) / 2;
    for (const i of y.keys())
      sum -= a.subarray(i * n, (i + 1) * n).reduce((s, slope, k) => s + slope * du[k]!, 0) ** 2 / 2;
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
