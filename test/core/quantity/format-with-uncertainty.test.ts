import { describe, expect, it } from "vitest";
import { formatWithUncertainty, type ResultUnit } from "../../../src/core/quantity/index.js";

const K2 = { factor: 2, percent: 95 };
const DEGREE = Math.PI / 180;

describe("formatWithUncertainty", () => {
  it("states an expanded uncertainty with its factor and level", () => {
    expect(
      formatWithUncertainty(12.3412, 0.0503, { unit: "mm", coverage: K2, significantDigits: 1 }),
    ).toEqual({
      value: "12.34",
      uncertainty: "0.05",
      places: 2,
      mark: " mm",
      text: "12.34 mm, U = 0.05 mm (k = 2, 95 %)",
    });
  });

  it("states a standard uncertainty as u", () => {
    expect(formatWithUncertainty(12.3412, 0.0251, { unit: "mm" }).text).toBe("12.341 mm, u = 0.025 mm");
  });

  it.each([
    [2.9972, 0.0254, "in", "0.1180 in, U = 0.0010 in (k = 2, 95 %)"],
    [0.127, 0.0127, "thou", "5.00 thou, U = 0.50 thou (k = 2, 95 %)"],
    [-0.12, 0.05, "mm", "−0.120 mm, U = 0.050 mm (k = 2, 95 %)"],
    [-0.0001, 0.05, "mm", "0.000 mm, U = 0.050 mm (k = 2, 95 %)"],
    [22.5 * DEGREE, 0.05 * DEGREE, "deg", "22.500°, U = 0.050° (k = 2, 95 %)"],
    [-0.05 * DEGREE, 0.02 * DEGREE, "arcmin", "−3.0′, U = 1.2′ (k = 2, 95 %)"],
    [0.5 * DEGREE, (0.5 / 60) * DEGREE, "arcmin", "30.00′, U = 0.50′ (k = 2, 95 %)"],
  ] as const)("prints %d ± %d in %s as %s", (value, uncertainty, unit, text) => {
    expect(formatWithUncertainty(value, uncertainty, { unit, coverage: K2 }).text).toBe(text);
  });

  it("prints any factor and level", () => {
    const text = (factor: number, percent: number): string =>
      formatWithUncertainty(60, 0.05, { unit: "mm", coverage: { factor, percent } }).text;
    expect(text(2.9208, 99)).toContain("(k = 2.92, 99 %)");
    expect(text(1.959964, 95.45)).toContain("(k = 1.96, 95.45 %)");
    expect(text(3, 99.999)).toContain("(k = 3, 99.999 %)");
  });

  it("refuses what it cannot state", () => {
    expect(() => formatWithUncertainty(60, 0, { unit: "mm" })).toThrow("not more than zero");
    expect(() => formatWithUncertainty(Number.NaN, 1, { unit: "mm" })).toThrow("value: it cannot be printed");
    expect(() => formatWithUncertainty(60, 1, { unit: "rad" as ResultUnit })).toThrow("unit option");
    for (const factor of [0, -2, Number.NaN, Number.POSITIVE_INFINITY])
      expect(() => formatWithUncertainty(60, 1, { unit: "mm", coverage: { factor, percent: 95 } })).toThrow(
        "coverage factor",
      );
    for (const percent of [0, 100, Number.NaN])
      expect(() => formatWithUncertainty(60, 1, { unit: "mm", coverage: { factor: 2, percent } })).toThrow(
        "level of confidence",
      );
  });
});
