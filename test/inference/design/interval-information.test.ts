import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { equivalentVariance, intervalInformation } from "../../../src/inference/design/trial-information.js";
import { readingLoss } from "../../../src/inference/likelihood/reading-likelihood.js";

describe("what an interval tells", () => {
  it("of one edge at the mean is 2/π of what the value tells", () => {
    // P = ½ each, ∂P/∂μ = ±φ(0)/σ: 2·φ(0)²/½/σ² = 4·φ(0)²/σ² = (2/π)/σ².
    expect(intervalInformation(0.3, 0.02, [0.3])).toBeCloseTo(2 / Math.PI / 0.02 ** 2, 6);
  });

  it("is the mean square slope and the mean curvature of the project's own likelihood", () => {
    const edges = [0.02, 0.05, 0.1];
    const [mu, sigma, draws] = [0.045, 0.015, 40_000];
    const stream = createStream(3);
    let [square, curve] = [0, 0];
    for (let d = 0; d < draws; d++) {
      const x = mu + sigma * stream.normal();
      const low = edges.filter((edge) => edge <= x).at(-1) ?? Number.NEGATIVE_INFINITY;
      const high = edges.find((edge) => edge > x) ?? Number.POSITIVE_INFINITY;
      const { slope, curvature } = readingLoss({ value: null, low, high }, mu, sigma);
      square += slope ** 2 / draws;
      curve += curvature / draws;
    }
    const expected = intervalInformation(mu, sigma, edges);
    // Standard errors of both means are below 1 %.
    expect(Math.abs(square / expected - 1)).toBeLessThan(0.03);
    expect(Math.abs(curve / expected - 1)).toBeLessThan(0.03);
  });

  it("is at most what the value tells, and nearly that with edges closer than the scatter", () => {
    const fine = Array.from({ length: 401 }, (_, i) => -0.1 + 0.0005 * i);
    const share = intervalInformation(0.01, 0.01, fine) * 0.01 ** 2;
    expect(share).toBeLessThan(1);
    expect(share).toBeGreaterThan(0.999);
    for (const mu of [-0.05, 0, 0.05, 0.2])
      expect(intervalInformation(mu, 0.01, [0, 0.05, 0.1]) * 0.01 ** 2).toBeLessThanOrEqual(1);
  });

  it("falls with every edge taken away", () => {
    const edges = [0.02, 0.04, 0.06, 0.08];
    for (const mu of [0, 0.03, 0.05, 0.09]) {
      const all = intervalInformation(mu, 0.015, edges);
      for (const [k] of edges.entries())
        expect(intervalInformation(mu, 0.015, edges.toSpliced(k, 1))).toBeLessThanOrEqual(all + 1e-9);
    }
  });

  it("is nothing far from every edge, and nothing breaks there", () => {
    expect(intervalInformation(-5, 0.01, [0.02, 0.05])).toBe(0);
    expect(intervalInformation(5, 0.01, [0.02, 0.05])).toBe(0);
    expect(equivalentVariance(-5, 0.004, 0.01, [0.02])).toBe(Number.POSITIVE_INFINITY);
  });

  it("put back as the noise of a value tells the same", () => {
    const [mu, noise, scatter, edges] = [0.033, 0.004, 0.012, [0.02, 0.05]] as const;
    const variance = equivalentVariance(mu, noise, scatter, edges);
    expect(1 / (variance + scatter ** 2)).toBeCloseTo(
      intervalInformation(mu, Math.hypot(noise, scatter), edges),
      8,
    );
    expect(variance).toBeGreaterThan(noise ** 2);
  });
});
