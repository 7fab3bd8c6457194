import { describe, expect, it } from "vitest";
import { blockLoss } from "../../../src/calibrate/block-mode.js";
import { fitSources } from "../../../src/calibrate/fit-sources.js";
import { expectedInformation, invert } from "../../../src/calibrate/information.js";
import { likelihoodOf, maximiseLikelihood, profileOf } from "../../../src/calibrate/maximise-likelihood.js";
import { frameLaw, type State } from "../../../src/calibrate/posterior/frame-law.js";
import { lawAtMode } from "../../../src/calibrate/posterior/latent-law.js";
import { profileIntervals } from "../../../src/calibrate/profile-intervals.js";
import { sourcesOf } from "../../../src/calibrate/specimen.js";
import type { Job } from "../../../src/job/job.js";
import { choleskyInPlace } from "../../../src/numeric/cholesky.js";
import { logWeights } from "../../../src/numeric/elliptical-slice.js";
import { createStream } from "../../../src/numeric/random-stream.js";
import { demoJob, demoReadings } from "../demo.js";

const job: Job = { ...demoJob, order: "first" };
const sources = sourcesOf(job);
const p = sources.length;
const unit = sources.map(({ trustedTo }) => trustedTo);

describe("a frame", () => {
  const likelihood = likelihoodOf(job, sources, demoReadings);
  const { estimates, modes } = maximiseLikelihood(likelihood, new Float64Array(p));
  const x = estimates.map((value, i) => value / unit[i]!);
  const { terms } = profileOf(likelihood, modes)(x);
  const covariance = invert(expectedInformation(terms, p), p);
  const trials = modes.map((mode) => lawAtMode(mode, x, unit));
  const law = frameLaw(likelihood, { mean: x, covariance }, trials);
  const stream = createStream(4);
  const points = new Float64Array(6 * law.length);
  const rows = Array.from({ length: 6 }, (_, k) => points.subarray(k * law.length, (k + 1) * law.length));
  for (const row of rows) law.draw(row, stream);

  it("gives a state's point back", () => {
    const again = new Float64Array(law.length);
    for (const row of rows) {
      law.enter(law.stateOf(row), again);
      for (const [i, value] of again.entries()) expect(Math.abs(value - row[i]!)).toBeLessThan(1e-9);
    }
  });

  it("times its weight is prior times likelihood, as the readable seating has them", () => {
    const weights = logWeights(law, points, 6);
    const differences = rows.map(
      (row, k) => weights[k]! + logFrame(law.stateOf(row)) - logPosterior(law.stateOf(row)),
    );
    for (const difference of differences) expect(Math.abs(difference - differences[0]!)).toBeLessThan(1e-6);
    // The weights themselves do differ: the agreement is not for want of anything to agree on.
    expect(Math.max(...weights) - Math.min(...weights)).toBeGreaterThan(0.5);
  });

  const logPosterior = ({ sources: at, latents }: State): number => {
    const values = at.map((value, i) => value * unit[i]!);
    const prior = at.reduce((sum, value) => sum + value ** 2 / 2, 0);
    return -likelihood.blocks.reduce(
      (sum, block, b) => sum + blockLoss(job, block, values, latents[b]!),
      prior,
    );
  };

  /** −½ of the quadratic form of every normal law, from the modes' slopes. */
  function logFrame({ sources: at, latents }: State): number {
    const root = covariance.slice();
    choleskyInPlace(root, p);
    const precision = invert(covariance, p);
    const dx = at.map((value, i) => value - x[i]!);
    let sum = 0;
    for (let i = 0; i < p; i++)
      for (let j = 0; j < p; j++) sum -= (dx[i]! * precision[i * p + j]! * dx[j]!) / 2;
    for (const [b, { expectation, losses, latents: mode }] of modes.entries()) {
      const n = mode.length;
      // E[u | x] solves (I + AᵀA)·(u − mode) = −Aᵀ·B·(x − mode's x); by fixed sweeps of Gauss and Seidel.
      const scaled = losses.map(({ curvature }, i) => {
        const pull = dx.reduce((s, d, c) => s + expectation.bySource[i * p + c]! * unit[c]! * d, 0);
        return { curvature, pull, row: expectation.byLatent.subarray(i * n, (i + 1) * n) };
      });
      const du = latents[b]!.map((value, k) => value - mode[k]!);
      // ½|u − E|²_P = ½ uᵀPu + uᵀc + const(x) with the constant ½ cᵀP⁻¹c, found as the least value.
      const energy = (v: Float64Array): number =>
        v.reduce((s, value) => s + value ** 2 / 2, 0) +
        scaled.reduce((s, { curvature, pull, row }) => {
          const seen = row.reduce((t, a, k) => t + a * v[k]!, 0);
          return s + curvature * (seen ** 2 / 2 + seen * pull);
        }, 0);
      const least = new Float64Array(n);
      for (let sweep = 0; sweep < 4000; sweep++) {
        let moved = 0;
        for (let k = 0; k < n; k++) {
          let [slope, curve] = [least[k]!, 1];
          for (const { curvature, pull, row } of scaled) {
            if (row[k] === 0 || curvature === 0) continue;
            slope += curvature * row[k]! * (row.reduce((t, a, q) => t + a * least[q]!, 0) + pull);
            curve += curvature * row[k]! ** 2;
          }
          least[k]! -= slope / curve;
          moved = Math.max(moved, Math.abs(slope / curve));
        }
        if (moved < 1e-12) break;
      }
      sum -= energy(du) - energy(least);
    }
    return sum;
  }
});

describe("the posterior", () => {
  it("is exact where every reading is linear: angles alone", () => {
    const angles = demoReadings.filter(({ what }) => what === "angle");
    const fit = fitSources(job, angles, { estimateScatters: false });
    const again = fitSources(job, angles, { estimateScatters: false, seed: 7 });
    for (const [i, estimate] of again.estimates.entries())
      expect(Math.abs(estimate - fit.estimates[i]!)).toBeLessThan(1e-12);
    for (const [i, { interval, standardUncertainty, estimate, trustedTo }] of fit.sources.entries()) {
      expect(interval[1] - estimate).toBeCloseTo(1.959964 * standardUncertainty, 6);
      if (!angles.some(({ setUp }) => job.setUps.some((s) => s.name === setUp && s.jig === sources[i]!.of)))
        expect(standardUncertainty).toBeCloseTo(trustedTo, 9);
    }
  });

  it("does not depend on the seed but for the scatter of its draws", () => {
    const one = fitSources(job, demoReadings, { seed: 1 });
    const two = fitSources(job, demoReadings, { seed: 2 });
    for (const [i, { name, estimate, standardUncertainty: u }] of one.sources.entries()) {
      const worth = Math.min(one.effectiveDraws, two.effectiveDraws);
      expect(worth).toBeGreaterThan(30);
      const scatter = u * Math.sqrt(2 / worth);
      expect(Math.abs(estimate - two.sources[i]!.estimate), name).toBeLessThan(4 * scatter);
      expect(two.sources[i]!.standardUncertainty / u, name).toBeGreaterThan(0.6);
      expect(two.sources[i]!.standardUncertainty / u, name).toBeLessThan(1.6);
    }
  });

  it("agrees with profile likelihood where values were read, and is no narrower where joints close", () => {
    const values = demoReadings.filter(({ value, bench }) => value !== null && bench !== "cell");
    const precise = fitSources(job, values, { estimateScatters: false });
    for (const [i, [low, high]] of profileIntervals(precise).entries()) {
      const { name, interval } = precise.sources[i]!;
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
    const { sources: found } = fitSources(job, closed, { estimateScatters: false });
    const bevel = found.find(({ name }) => name === "ramp of bevel-22")!;
    expect(bevel.estimate).toBe(0);
    expect(bevel.standardUncertainty).toBeCloseTo(bevel.trustedTo, 12);
    expect(bevel.learned).toBeCloseTo(0, 12);
    expect(bevel.interval[1] / bevel.trustedTo).toBeCloseTo(1.959964, 5);
    expect(found.find(({ name }) => name === "ramp of point-45")!.learned).toBeGreaterThan(0.2);
  });
});
