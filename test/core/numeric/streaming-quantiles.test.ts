import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { QUANTILE_ERROR, StreamingQuantiles } from "../../../src/core/numeric/streaming-quantiles.js";

describe("streaming quantiles", () => {
  const stream = createStream(3);
  // Over twelve orders of magnitude, with some zeros.
  const values = Array.from({ length: 20_000 }, (_, k) =>
    k % 50 === 0 ? 0 : 10 ** (-10 + 12 * stream.uniform()),
  );
  const sorted = [...values].sort((a, b) => a - b);

  it("are the sample's own, to the stated share of themselves", () => {
    const quantiles = new StreamingQuantiles();
    for (const value of values) quantiles.add(value);
    for (const p of [0.001, 0.02, 0.0201, 0.1, 0.25, 0.5, 0.9, 0.95, 0.999, 1]) {
      const own = sorted[Math.ceil(p * sorted.length) - 1]!;
      expect(Math.abs(quantiles.quantile(p) - own)).toBeLessThanOrEqual(QUANTILE_ERROR * own);
    }
  });

  it("do not depend on how the values were shared out", () => {
    const [whole, even, odd] = [new StreamingQuantiles(), new StreamingQuantiles(), new StreamingQuantiles()];
    for (const [k, value] of values.entries()) {
      whole.add(value);
      (k % 2 ? odd : even).add(value);
    }
    odd.merge(even.counts);
    expect(odd.counts).toEqual(whole.counts);
  });

  it("are not a number where nothing was counted", () => {
    expect(new StreamingQuantiles().quantile(0.5)).toBeNaN();
  });
});
