import { describe, expect, it } from "vitest";
import { simulateTrials } from "../../../src/inference/estimates/simulate-trials.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { expectBlock, expectValues } from "../../../src/inference/likelihood/trial-blocks.js";
import { partErrorForms, valueAt } from "../../../src/inference/posterior/linear-forms.js";
import { targetDensity } from "../../../src/inference/posterior/posterior-mode.js";
import type { Job } from "../../../src/model/job/job.js";
import { demoJob, demoReadings } from "../demo.js";

const longSide: Job = {
  ...demoJob,
  order: "first",
  jigs: demoJob.jigs.map((jig) => ({ ...jig, fence: "long-side" })),
};
const sources = jobSources(longSide);
const { blocks } = targetDensity(longSide, sources, demoReadings);
const none = new Float64Array(sources.length);

describe("a piece's own thickness where the fence bears on the long side of the bevel", () => {
  it("shifts its own cuts: a thicker key is shorter by (dt/2)·tan 45° at either end", () => {
    const block = blocks.find(({ trial }) => trial === "c1")!;
    const key = block.readings.findIndex(({ what, subject }) => what === "length" && subject === "key-1");
    const thick = block.readings.findIndex(
      ({ what, subject }) => what === "thickness" && subject === "key-1",
    );
    const base = expectValues(longSide, block, none, new Float64Array(block.latents));
    const latent = [...Array(block.latents).keys()].find((k) => {
      const one = new Float64Array(block.latents);
      one[k] = 1;
      return expectValues(longSide, block, none, one)[thick] !== base[thick];
    })!;
    const one = new Float64Array(block.latents);
    one[latent] = 1;
    const moved = expectValues(longSide, block, none, one);
    const dt = longSide.betweenCutSd.thickness;
    expect(moved[thick]! - base[thick]!).toBeCloseTo(dt, 12);
    expect(moved[key]! - base[key]!).toBeCloseTo(-dt * Math.tan(Math.PI / 4), 9);
  });

  it("has derivatives that are those of the values, and linear forms that are the same errors", () => {
    for (const block of blocks) {
      const latents = Float64Array.from({ length: block.latents }, (_, k) => 0.3 * Math.sin(k + 1));
      const { byLatent } = expectBlock(longSide, block, none, latents);
      for (let k = 0; k < block.latents; k += 7) {
        const step = 1e-4;
        const [up, down] = [step, -step].map((by) =>
          expectValues(longSide, block, none, latents.with(k, latents[k]! + by)),
        );
        for (const i of block.readings.keys())
          expect(
            Math.abs((up![i]! - down![i]!) / (2 * step) - byLatent[i * block.latents + k]!),
          ).toBeLessThan(2e-4 * longSide.strip);
      }
      for (const part of block.parts)
        for (const form of partErrorForms(part, sources))
          expect(Number.isFinite(valueAt(form, { mean: none, latents }))).toBe(true);
    }
  });
});

describe("a gap read by an instrument that shows values", () => {
  it("is never less than nothing: a pressed joint reads as closed, at most half a step", () => {
    const loupe = {
      ...demoJob.instruments[0]!,
      name: "loupe",
      leaves: [],
      resolution: 0.02,
      repeatability: 0.005,
    };
    const job: Job = { ...longSide, instruments: [...longSide.instruments, { ...loupe, reads: ["gap"] }] };
    const plan = demoReadings
      .filter(({ what }) => what === "gap")
      .map((reading) => ({ ...reading, instrument: "loupe" }));
    const seen = Array.from({ length: 20 }, (_, seed) =>
      simulateTrials(job, plan, { truth: none, seed: seed + 1 }),
    ).flat();
    const closed = seen.filter(({ value }) => value === null);
    expect(closed.length).toBeGreaterThan(20);
    for (const { low, high } of closed) expect([low, high]).toEqual([Number.NEGATIVE_INFINITY, 0.01]);
    for (const { value } of seen) if (value !== null) expect(value).toBeGreaterThan(0);
  });
});
