import { describe, expect, it } from "vitest";
import { type FormatAngleOptions, formatAngle, parseAngle } from "../../../src/core/quantity/index.js";

/** Degrees, options, text. */
const PRINTED: readonly (readonly [string, FormatAngleOptions, string])[] = [
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
  it.each(PRINTED)("prints %s degrees with %j as %s", (degrees, options, text) => {
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
