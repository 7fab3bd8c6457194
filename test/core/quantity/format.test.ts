import { describe, expect, it } from "vitest";
import {
  type FormatAngleOptions,
  type FormatLengthOptions,
  formatAngle,
  formatLength,
  formatWithUncertainty,
  parseAngle,
  QuantityError,
  type ResultUnit,
  roundToUncertainty,
} from "../../../src/core/quantity/index.js";

/** mm, options, text. Worked by hand from 1 in = 25.4 mm. */
const PRINTED_LENGTHS: readonly (readonly [number, FormatLengthOptions, string])[] = [
  [60, { unit: "mm" }, "60.00 mm"],
  [60, { unit: "mm", digits: 0 }, "60 mm"],
  [12.345, { unit: "mm" }, "12.35 mm"],
  [1.005, { unit: "mm" }, "1.01 mm"], // the double is a little less; the person typed 1.005
  [-1.005, { unit: "mm" }, "−1.01 mm"],
  [-0.12, { unit: "mm" }, "−0.12 mm"],
  [-0.004, { unit: "mm" }, "0.00 mm"],
  [-0.005, { unit: "mm" }, "−0.01 mm"],
  [-0, { unit: "mm" }, "0.00 mm"],
  [1e21, { unit: "mm", digits: 0 }, "1000000000000000000000 mm"],
  [1e-7, { unit: "mm", digits: 8 }, "0.00000010 mm"],
  [25.4, { unit: "in" }, "1.0000 in"],
  [2.9972, { unit: "in" }, "0.1180 in"],
  [2.9972, { unit: "in", digits: 3 }, "0.118 in"],
  [1.5875, { unit: "in", digits: 3 }, "0.063 in"], // 1/16 in = 0.0625 in, a tie
  [-60.325, { unit: "in", style: "decimal", digits: 3 }, "−2.375 in"],
  [0.127, { unit: "in", style: "thou" }, "5.0 thou"],
  [-0.0254, { unit: "in", style: "thou", digits: 0 }, "−1 thou"],
  [-0.001, { unit: "in", style: "thou", digits: 0 }, "0 thou"],
  [60.325, { unit: "in", style: "fraction" }, "2 3/8 in"],
  [60.3, { unit: "in", style: "fraction", denominator: 8, digits: 3 }, "2 3/8 in − 0.001 in"],
];

describe("formatLength", () => {
  it.each(PRINTED_LENGTHS)("prints %d mm with %j as %s", (mm, options, text) => {
    expect(formatLength(mm, options)).toBe(text);
  });

  it("refuses what is not a length", () => {
    for (const wrong of [Number.NaN, Number.POSITIVE_INFINITY, "60" as unknown as number])
      for (const style of ["decimal", "fraction", "thou"] as const)
        expect(() => formatLength(wrong, { unit: "in", style } as FormatLengthOptions)).toThrow(
          "only a finite number can be printed",
        );
  });

  it("refuses options it does not know", () => {
    const wrong: unknown[] = [
      { unit: "mm", style: "fraction" },
      { unit: "mm", style: "thou" },
      { unit: "in", style: "feet" },
      { unit: "cubit" },
      { unit: "thou" },
      { unit: "mm", digits: -1 },
      { unit: "mm", digits: 1.5 },
      { unit: "in", digits: 16 },
      { unit: "in", style: "fraction", digits: 99 },
      { unit: "in", style: "fraction", denominator: 10 },
    ];
    for (const options of wrong)
      expect(() => formatLength(60, options as FormatLengthOptions), JSON.stringify(options)).toThrow(
        QuantityError,
      );
  });
});

/** Degrees, options, text. */
const PRINTED_ANGLES: readonly (readonly [string, FormatAngleOptions, string])[] = [
  ["22.5", {}, "22.50°"],
  ["22.5", { digits: 0 }, "23°"], // a tie that the double of radians alone would lose
  ["-22.5", { digits: 0 }, "−23°"],
  ["22.125", { digits: 2 }, "22.13°"],
  ["-22.5", { digits: 1 }, "−22.5°"],
  ["-0.004", {}, "0.00°"],
  ["0", {}, "0.00°"],
  ["360", {}, "360.00°"],
  ["22.5", { style: "minutes" }, "22° 30′"],
  ["22.51", { style: "minutes", digits: 1 }, "22° 30.6′"],
  ["22.9999", { style: "minutes" }, "23° 0′"],
  ["-0.5", { style: "minutes" }, "−0° 30′"],
  ["-0.008", { style: "minutes" }, "0° 0′"],
  ["-0.009", { style: "minutes" }, "−0° 1′"],
  ["22°30'15\"", { style: "seconds" }, "22° 30′ 15″"],
  ["-22°30'15\"", { style: "seconds" }, "−22° 30′ 15″"],
  ["22°59'59.96\"", { style: "seconds", digits: 1 }, "23° 0′ 0.0″"],
  ["22°59'59.94\"", { style: "seconds", digits: 1 }, "22° 59′ 59.9″"],
  ["22°30'15.5\"", { style: "seconds" }, "22° 30′ 16″"],
  ["20.5'", { style: "minutes" }, "0° 21′"],
];

describe("formatAngle", () => {
  it.each(PRINTED_ANGLES)("prints %s degrees with %j as %s", (degrees, options, text) => {
    expect(formatAngle(parseAngle(degrees), options)).toBe(text);
  });

  it("prints plain radians", () => {
    expect(formatAngle(Math.PI / 8)).toBe("22.50°");
    expect(formatAngle(-0)).toBe("0.00°");
    expect(formatAngle(1, { digits: 10 })).toBe("57.2957795131°"); // 180/π, any table
  });

  it("refuses what is not an angle, and options it does not know", () => {
    expect(() => formatAngle(Number.NaN)).toThrow("only a finite number can be printed");
    expect(() => formatAngle(1, { style: "grads" as "minutes" })).toThrow("decimal, minutes or seconds");
    expect(() => formatAngle(1, { style: "toString" as "minutes" })).toThrow("decimal, minutes or seconds");
    expect(() => formatAngle(1, { digits: 0.5 })).toThrow("whole number from 0 to 15");
  });
});

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

describe("roundToUncertainty", () => {
  it("rounds as JCGM 100:2008, 7.2.6 does (its two examples, from memory of the clause)", () => {
    // y = 10,057 62 Ω with u_c = 27 mΩ becomes 10,058 Ω; 28,05 kHz becomes 28 kHz.
    expect(roundToUncertainty(10.05762, 0.027)).toEqual({ value: "10.058", uncertainty: "0.027", places: 3 });
    expect(roundToUncertainty(0, 28.05).uncertainty).toBe("28");
  });

  // Unrounded values recomputed from the inputs that JCGM 100:2008 states; the figures are those it prints.
  it.each([
    ["H.1, end gauge, mm", 50.000838, 31.6639e-6, "50.000838", "0.000032"],
    ["H.2, R, Ω", 127.7322, 0.07107, "127.732", "0.071"],
    ["H.3, intercept, °C", -0.17120379, 0.0028776, "−0.1712", "0.0029"],
    ["H.3, slope", 0.0021826977, 0.00066794, "0.00218", "0.00067"],
    ["H.3, correction at 30 °C", -0.14937681, 0.0041386, "−0.1494", "0.0041"],
  ])("prints JCGM 100:2008 %s", (_, value, uncertainty, valueText, uncertaintyText) => {
    expect(roundToUncertainty(value, uncertainty)).toMatchObject({
      value: valueText,
      uncertainty: uncertaintyText,
    });
  });

  it.each([
    [12.3456, 0.0996, "12.35", "0.10", 2], // the carry keeps two figures
    [12.3456, 0.996, "12.3", "1.0", 1],
    [12.3456, 9.96, "12", "10", 0],
    [1234.56, 99.6, "1230", "100", -1],
    [56789, 1234, "56800", "1200", -2],
    [0.3, 120, "0", "120", -1],
    [-0.3, 120, "0", "120", -1],
    [-0.004, 0.12, "0.00", "0.12", 2],
    [-0.005, 0.12, "−0.01", "0.12", 2],
    [2.5, 10, "3", "10", 0],
    [60, 0.05, "60.000", "0.050", 3],
    [1e-7, 1.2e-8, "0.000000100", "0.000000012", 9],
  ])("gives %d ± %d as %s, %s (place %d)", (value, uncertainty, valueText, uncertaintyText, places) => {
    expect(roundToUncertainty(value, uncertainty)).toEqual({
      value: valueText,
      uncertainty: uncertaintyText,
      places,
    });
  });

  it("keeps one figure where asked", () => {
    expect(roundToUncertainty(12.3412, 0.0503, { significantDigits: 1 })).toEqual({
      value: "12.34",
      uncertainty: "0.05",
      places: 2,
    });
    expect(roundToUncertainty(12.3412, 0.096, { significantDigits: 1 }).uncertainty).toBe("0.1");
  });

  it("refuses an uncertainty that is none", () => {
    for (const wrong of [0, -0, -0.1])
      expect(() => roundToUncertainty(1, wrong)).toThrow("not more than zero");
    for (const wrong of [Number.NaN, Number.POSITIVE_INFINITY]) {
      expect(() => roundToUncertainty(1, wrong)).toThrow("uncertainty: it cannot be printed");
      expect(() => roundToUncertainty(wrong, 1)).toThrow("value: it cannot be printed");
    }
    for (const digits of [0, 3, 1.5])
      expect(() => roundToUncertainty(1, 1, { significantDigits: digits as 1 })).toThrow("it must be 1 or 2");
  });
});
