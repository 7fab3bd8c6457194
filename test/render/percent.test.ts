import { describe, expect, it } from "vitest";
import { chanceText, percentText, shareText } from "../../src/render/shop-numbers.js";

describe("chances in per cent", () => {
  it.each([
    [{ value: 0.34061, low: 0.3397, high: 0.3415 }, "34.06 ± 0.09 %"],
    [{ value: 0.5, low: 0.4, high: 0.6 }, "50 ± 10 %"],
    [{ value: -0.012, low: -0.022, high: -0.002 }, "−1.2 ± 1.0 %"],
    [{ value: 0.0001, low: 0, high: 0.001 }, "0.01 ± 0.05 %"],
    [{ value: 0, low: 0, high: 0.00381 }, "under 0.39 %"],
    [{ value: 0, low: 0, high: 0 }, "0.0 %"],
  ])("%j is %s", (estimated, text) => {
    expect(percentText(estimated)).toBe(text);
  });

  it("are never called nothing or all when they are neither", () => {
    expect([shareText(1e-9), shareText(1 - 1e-9)]).toEqual(["under 0.1 %", "over 99.9 %"]);
    expect([shareText(0), shareText(1), shareText(0.1234)]).toEqual(["0.0 %", "100.0 %", "12.3 %"]);
    expect([chanceText(0.004), chanceText(0.996), chanceText(0.125)]).toEqual([
      "under 1 %",
      "over 99 %",
      "13 %",
    ]);
  });
});
