import { describe, expect, it } from "vitest";
import { separatingReadings } from "../../../src/inference/design/informative-readings.js";
import { fitSources } from "../../../src/inference/estimates/fit-sources.js";
import { unseparatedOf } from "../../../src/inference/estimates/identifiability.js";
import { pairRegions } from "../../../src/inference/estimates/pair-regions.js";
import { jobSources } from "../../../src/inference/likelihood/specimen.js";
import { sourceText } from "../../../src/render/source-text.js";
import { demoJob, demoReadings } from "../demo.js";

const sources = jobSources(demoJob);
const p = sources.length;
const unit = Float64Array.from({ length: p * p }, (_, k) => (k % (p + 1) === 0 ? 1 : 0));

describe("what the readings do not tell", () => {
  it("is every source by itself before anything is read", () => {
    const left = unseparatedOf(sources, unit);
    expect(left.map(({ weights }) => weights.map(({ source }) => source))).toEqual(
      sources.map(({ id }) => [id]),
    );
    for (const { remaining } of left) expect(remaining).toBe(1);
  });

  it("is the difference of two sources of which only the sum was read", () => {
    // x + y read with standard deviation τ: the sum keeps τ²/(2 + τ²) of its variance, the difference all of it.
    const tau2 = 0.01;
    const covariance = unit.slice();
    const gain = 1 / (2 + tau2);
    for (const [i, j] of [
      [4, 4],
      [4, 5],
      [5, 4],
      [5, 5],
    ] as const)
      covariance[i * p + j]! -= gain;
    const [first, ...others] = unseparatedOf(sources, covariance);
    expect(first!.remaining).toBeCloseTo(1, 9);
    expect(first!.weights.map(({ source }) => sourceText(source)).sort()).toEqual(
      [sourceText(sources[4]!.id), sourceText(sources[5]!.id)].sort(),
    );
    const [a, b] = first!.weights.map(({ weight }) => weight);
    expect(a! * b!).toBeCloseTo(-0.5, 6);
    expect(others).toHaveLength(p - 2);
  });
});

describe("the reading that would tell it", () => {
  it("is of that source, and the fit that has it knows more", () => {
    const angles = demoReadings.filter(({ what }) => what === "angle");
    const fit = fitSources(demoJob, angles, { estimateBetweenCutSds: false });
    expect(fit.unseparated.length).toBeGreaterThan(2);
    const found = separatingReadings(demoJob, fit);
    expect(found.length).toBeGreaterThan(0);
    for (const { combination, now, after } of found) {
      expect(now).toBeCloseTo(combination.remaining, 1);
      expect(after).toBeLessThan(0.9 * now);
    }
    // A thickness is told by measuring it.
    const thickness = found.find(({ combination }) => combination.weights[0]!.source.kind === "thickness");
    expect(thickness?.reading.what).toBe("thickness");
  });

  it("is not asked for where everything is told", () => {
    const precise = fitSources(demoJob, demoReadings);
    expect(precise.unseparated).toHaveLength(0);
    expect(separatingReadings(demoJob, precise)).toHaveLength(0);
  });
});

describe("a joint region", () => {
  it("holds 95 % of the draws, and less area than the two intervals by √(1 − r²)", () => {
    const [region, ...others] = pairRegions(fitSources(demoJob, demoReadings));
    expect(others).toHaveLength(0);
    expect(region!.holds).toBeGreaterThanOrEqual(0.95);
    expect(region!.holds).toBeLessThan(0.955);
    const [[a], [b]] = region!.axes;
    const reach = Math.sqrt(5.991);
    // In standard uncertainties the half-axes of a normal law are √(χ²·(1 ± |r|)/2) in each coordinate.
    const r = Math.abs(region!.correlation);
    expect(Math.abs(a) / (reach * Math.sqrt((1 + r) / 2))).toBeGreaterThan(0.85);
    expect(Math.abs(a) / (reach * Math.sqrt((1 + r) / 2))).toBeLessThan(1.15);
    expect(Math.abs(b) / (reach * Math.sqrt((1 - r) / 2))).toBeGreaterThan(0.85);
    expect(Math.abs(b) / (reach * Math.sqrt((1 - r) / 2))).toBeLessThan(1.15);
  });
});
