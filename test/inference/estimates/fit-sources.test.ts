import { describe, expect, it } from "vitest";
import type { Terms } from "../../../src/core/numeric/minimise-terms.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { readingLoss } from "../../../src/inference/likelihood/reading-likelihood.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { expectBlock } from "../../../src/inference/likelihood/trial-blocks.js";
import {
  blockMode,
  posteriorMode,
  profileOf,
  targetDensity,
} from "../../../src/inference/posterior/posterior-mode.js";
import { sourceText } from "../../../src/render/source-text.js";
import { loadWorld, makeMistakes, type WorldName } from "../../checks/study/try-world.js";
import { longIt } from "../../tools/longer.js";
import { demoJob, demoReadings, demoTruth } from "../demo.js";

const sources = jobSources(demoJob);
const problem = targetDensity(demoJob, sources, demoReadings);
const p = sources.length;
/** A place with open joints, away from kinks of the readings. */
const somewhere = demoTruth.sources.map((value, i) => value + 0.07 * sources[i]!.priorSd);

describe("what a trial's readings are expected to show", () => {
  it("has derivatives that differences confirm", () => {
    for (const block of problem.blocks) {
      const latents = Float64Array.from({ length: block.latents }, (_, k) => 0.3 * Math.cos(1.7 * k));
      const { mu, bySource, byLatent } = expectBlock(demoJob, block, somewhere, latents);
      const slope = (move: (h: number) => Float64Array, h: number) => {
        const [up, down] = [move(h), move(-h)];
        return mu.map((_, i) => (up[i]! - down[i]!) / (2 * h));
      };
      for (let c = 0; c < p; c++) {
        const move = (h: number) =>
          expectBlock(demoJob, block, somewhere.with(c, somewhere[c]! + h), latents).mu;
        for (const [i, value] of slope(move, 1e-6).entries())
          expect(value, `${block.trial} ${sourceText(sources[c]!.id)}`).toBeCloseTo(bySource[i * p + c]!, 4);
      }
      for (let k = 0; k < Math.min(block.latents, 12); k++) {
        const move = (h: number) =>
          expectBlock(demoJob, block, somewhere, latents.with(k, latents[k]! + h)).mu;
        for (const [i, value] of slope(move, 1e-4).entries())
          expect(value).toBeCloseTo(byLatent[i * block.latents + k]!, 5);
      }
    }
  });
});

describe("the mode of the cut-to-cut errors", () => {
  it("is stationary and lower than its neighbours", () => {
    for (const block of problem.blocks) {
      const mode = blockMode(demoJob, block, somewhere, new Float64Array(block.latents));
      const gradient = Float64Array.from(mode.latents);
      for (const [i, { slope }] of mode.losses.entries())
        for (let k = 0; k < block.latents; k++)
          gradient[k]! += slope * mode.expectation.byLatent[i * block.latents + k]!;
      const largest = Math.max(0, ...gradient.map(Math.abs));
      // Where the mode sits on a kink of a closing joint its one-sided slopes need not vanish.
      if (largest > 1e-4) {
        for (const share of [1e-3, 1e-2]) {
          const away = mode.latents.map((v, k) => v - (share * gradient[k]!) / largest);
          const there = blockValue(block, away);
          expect(there).toBeGreaterThan(mode.value - 1e-9);
        }
      }
    }
    function blockValue(block: (typeof problem.blocks)[number], latents: Float64Array): number {
      const { mu } = expectBlock(demoJob, block, somewhere, latents);
      const scored = block.readings.map((reading, i) => lossOf(reading, mu[i]!, block.noise[i]!));
      return scored.reduce((a, b) => a + b, 0) + latents.reduce((a, v) => a + (v * v) / 2, 0);
    }
  });
});

const lossOf = (reading: Parameters<typeof readingLoss>[0], mu: number, tau: number): number =>
  readingLoss(reading, mu, tau).value;

/** ∂(−log likelihood)/∂x. */
function gradientOf({ slope, jacobian }: Terms): Float64Array {
  const out = new Float64Array(p);
  for (let i = 0; i < jacobian.length; i++) out[i % p]! += slope[Math.floor(i / p)]! * jacobian[i]!;
  return out;
}

describe("the profile over the sources", () => {
  it("has the gradient that differences show", () => {
    const x = somewhere.map((value, i) => value / sources[i]!.priorSd);
    const profile = profileOf(problem);
    profile(x);
    const gradient = gradientOf(profile(x).terms);
    const h = 1e-5;
    for (let c = 0; c < p; c++) {
      const up = profile(x.with(c, x[c]! + h)).terms.value;
      const down = profile(x.with(c, x[c]! - h)).terms.value;
      expect(gradient[c]! / ((up - down) / (2 * h)), sourceText(sources[c]!.id)).toBeCloseTo(1, 3);
    }
  });

  it("is flat at the fit", () => {
    const { minimum } = fitSources(demoJob, demoReadings, { estimateBetweenCutSds: false }).mode();
    expect(minimum.converged).toBe(true);
    const gradient = gradientOf(minimum.terms);
    for (const slope of gradient) expect(Math.abs(slope)).toBeLessThan(1e-3);
  });
});

const CAUGHT: [WorldName, number][] = [
  ["coarse-feeler", 12],
  ["coarse-feeler", 18],
  ["one-in-ten-wrong", 1],
  ["one-in-ten-wrong", 2],
];

describe("the fit", () => {
  longIt("finds the highest maximum where a plain descent from no errors at all is caught", () => {
    // Data sets of the study that do so: gross mistakes, and a gap read at its widest, of a sharp point or a blunt one.
    for (const [name, number] of CAUGHT) {
      const { job, plan } = loadWorld(name);
      const own = jobSources(job);
      const normals = createStream(4, number).fill(new Float64Array(own.length));
      const truth = own.map(({ priorSd }, i) => priorSd * normals[i]!);
      const honest = simulateTrials(job, plan, {
        truth: Float64Array.from(truth),
        seed: 5,
        substream: number,
      });
      const readings = makeMistakes(honest, job.mistakes, createStream(6, number));
      const simulated = targetDensity(job, own, readings);
      const climbed = fitSources(job, readings, { estimateBetweenCutSds: false }).mode();
      const from = (start: Float64Array): number => posteriorMode(simulated, start).minimum.terms.value;
      const best = climbed.minimum.terms.value;
      expect(best, `${name} ${number}`).toBeLessThan(from(Float64Array.from(truth)) + 0.05);
      expect(from(new Float64Array(own.length)), `${name} ${number}`).toBeGreaterThan(best + 1);
    }
  });

  longIt("would be misled by taking closed joints for gaps of exactly zero", () => {
    const readings = demoReadings.map((reading) =>
      reading.what === "gap" && reading.low === Number.NEGATIVE_INFINITY
        ? { ...reading, value: 0, low: null, high: null }
        : reading,
    );
    const naive = fitSources(demoJob, readings);
    const missed = naive.sources.filter(({ interval }, i) => {
      const truth = demoTruth.sources[i]!;
      return truth < interval[0] || truth > interval[1];
    });
    expect(missed.length).toBeGreaterThan(0);
  });
});
