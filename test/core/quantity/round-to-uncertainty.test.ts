import { describe, expect, it } from "vitest";
import { roundToUncertainty } from "../../../src/core/quantity/index.js";

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
