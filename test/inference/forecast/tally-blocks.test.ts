import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { QUANTILE_ERROR, StreamingQuantiles } from "../../../src/core/numeric/streaming-quantiles.js";
import { chanceFrom, GapCounts } from "../../../src/inference/forecast/tally-blocks.js";
import { shortestInterval } from "../../../src/uncertainty/monte-carlo-blocks.js";

const values = createStream(11)
  .fill(new Float64Array(20_000))
  .map((z) => Math.max(0, 0.03 + 0.04 * z))
  .sort();
const counter = new StreamingQuantiles();
for (const value of values) counter.add(value);
const counts = new GapCounts(counter.counts);
const near = (value: number, truth: number, more = 0): void =>
  expect(Math.abs(value - truth)).toBeLessThanOrEqual(QUANTILE_ERROR * truth + more);

describe("counted gaps", () => {
  it("give ranks and quantiles to half a bin", () => {
    for (const rank of [1, 5000, 10_000, 19_999, 20_000]) near(counts.ranked(rank), values[rank - 1]!);
    for (const p of [0.3, 0.5, 0.95]) near(counts.quantile(p), values[Math.ceil(p * 20_000) - 1]!);
  });

  it("give mean and standard deviation", () => {
    const mean = values.reduce((a, b) => a + b) / 20_000;
    near(counts.mean, mean);
    near(counts.standardDeviation, Math.sqrt(values.reduce((sum, v) => sum + (v - mean) ** 2, 0) / 19_999));
  });

  it("give shares up to a value, and the shortest interval", () => {
    const share = values.filter((value) => value <= 0.06).length / 20_000;
    expect(Math.abs(counts.shareUpTo(0.06) - share)).toBeLessThan(0.002);
    const [low, high] = counts.shortest(0.95);
    const [trueLow, trueHigh] = shortestInterval(values, 0.95);
    // No interval is shorter but by the width of its end bins, and this one holds its share.
    expect(high - low).toBeLessThanOrEqual(trueHigh - trueLow + 2e-4);
    expect(values.filter((v) => v >= low * 0.9995 && v <= high * 1.0005).length).toBeGreaterThanOrEqual(
      19_000,
    );
  });

  it("put together are those of all", () => {
    const halves = [0, 1].map((half) => {
      const part = new StreamingQuantiles();
      for (const [k, value] of values.entries()) if (k % 2 === half) part.add(value);
      return part.counts;
    });
    expect(GapCounts.merged(halves).shortest(0.9)).toEqual(counts.shortest(0.9));
  });
});

describe("the bounds of a chance", () => {
  const logFactorials = [0];
  for (let k = 1; k <= 500; k++) logFactorials.push(logFactorials[k - 1]! + Math.log(k));
  const binomial = (n: number, k: number, p: number): number =>
    Math.exp(
      logFactorials[n]! -
        logFactorials[k]! -
        logFactorials[n - k]! +
        k * Math.log(p) +
        (n - k) * Math.log(1 - p),
    );

  it.each([0.02, 0.1, 0.5, 0.9])(
    "hold %s in about 95 of 100 samples, summed over all that may happen",
    (p) => {
      let covered = 0;
      for (let k = 0; k <= 500; k++) {
        const { low, high } = chanceFrom(k, 500);
        if (low <= p && p <= high) covered += binomial(500, k, p);
      }
      expect(covered).toBeGreaterThan(0.93);
      expect(covered).toBeLessThan(0.98);
    },
  );

  it("are not nothing where it never happened", () => {
    const { value, low, high } = chanceFrom(0, 1000);
    expect([value, low]).toEqual([0, 0]);
    expect(high).toBeGreaterThan(0.003);
    expect(chanceFrom(1000, 1000).high).toBe(1);
  });
});
