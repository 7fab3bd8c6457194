import { describe, expect, it } from "vitest";
import { nearestFraction, QuantityError } from "../../../src/core/quantity/index.js";

describe("nearestFraction", () => {
  it("finds the mark a length sits on", () => {
    expect(nearestFraction(60.325)).toEqual({
      sign: 1,
      whole: 2,
      numerator: 3,
      denominator: 8,
      remainderMm: 0,
      text: "2 3/8 in",
    });
  });

  it("gives what is left over, mm, positive beyond the mark", () => {
    const short = nearestFraction(60.3);
    expect(short.remainderMm).toBe(-0.025);
    expect(short.text).toBe("2 3/8 in − 0.0010 in"); // 0.025/25.4 = 0.00098
    const long = nearestFraction(60.35);
    expect(long.remainderMm).toBe(0.025);
    expect(long.text).toBe("2 3/8 in + 0.0010 in");
  });

  it("is a sum for lengths below zero too", () => {
    const beyond = nearestFraction(-60.35);
    expect(beyond).toMatchObject({ sign: -1, whole: 2, numerator: 3, denominator: 8, remainderMm: -0.025 });
    expect(beyond.text).toBe("−2 3/8 in − 0.0010 in");
    expect(nearestFraction(-60.3).text).toBe("−2 3/8 in + 0.0010 in");
  });

  it.each([
    [25.4, "1 in"],
    [12.7, "1/2 in"],
    [2.778125, "7/64 in"],
    [3, "1/8 in − 0.0069 in"], // 3/25.4 = 0.11811, 7.56 sixty-fourths
    [0, "0 in"],
    [-0, "0 in"],
    [-0.1, "0 in − 0.0039 in"],
    [25.3, "1 in − 0.0039 in"],
    [1e5, "3937 1/64 in − 0.0078 in"], // 100000/25.4 = 3937.007874, just past half of 1/64 = 0.015625
  ] as const)("prints %d mm as %s at the default", (mm, text) => {
    expect(nearestFraction(mm).text).toBe(text);
  });

  it.each([
    [2, "2 1/2 in − 0.1250 in"],
    [4, "2 1/2 in − 0.1250 in"],
    [8, "2 3/8 in"],
    [16, "2 3/8 in"],
    [32, "2 3/8 in"],
    [64, "2 3/8 in"],
    [128, "2 3/8 in"],
  ] as const)("reads a rule in 1/%d; half-way goes to the mark farther from zero", (denominator, text) => {
    expect(nearestFraction(60.325, { denominator }).text).toBe(text);
  });

  it("takes -2 3/8 in half-way to the mark farther from zero", () => {
    expect(nearestFraction(-60.325, { denominator: 4 }).text).toBe("−2 1/2 in + 0.1250 in");
  });

  it("leaves out a remainder that prints as zero, and shows it with more digits", () => {
    expect(nearestFraction(60.3251).text).toBe("2 3/8 in");
    expect(nearestFraction(60.3251, { digits: 6 }).text).toBe("2 3/8 in + 0.000004 in");
    expect(nearestFraction(60.3251).remainderMm).toBe(0.0001);
  });

  it("refuses what is not a length, and rules nobody has", () => {
    expect(() => nearestFraction(Number.NaN)).toThrow(QuantityError);
    for (const denominator of [0, 1, 3, 10, 100, 256, Number.NaN, "64"])
      expect(() => nearestFraction(60, { denominator: denominator as 64 })).toThrow(
        "2, 4, 8, 16, 32, 64, 128",
      );
  });
});
