import { describe, expect, it } from "vitest";
import { type AngleUnit, parseAngle, QuantityError } from "../../../src/core/quantity/index.js";
import { nearestDouble, radiansOf, rational } from "./rational.js";

/** Input, exact degrees. */
const ACCEPTED: readonly (readonly [unknown, string])[] = [
  ["22.5 deg", "45/2"],
  ["22.5°", "45/2"],
  ["22,5°", "45/2"],
  ["22.5 degrees", "45/2"],
  ["1 degree", "1"],
  ["22.5º", "45/2"],
  ["22.5", "45/2"],
  [22.5, "45/2"],
  ["22½°", "45/2"],
  ["22 1/2 deg", "45/2"],
  ["22-1/2°", "45/2"],
  ["22°30'", "45/2"],
  ["22° 30′", "45/2"],
  ["22°30’", "45/2"],
  ["22 deg 30 arcmin", "45/2"],
  ["22° 30.5'", "2701/120"],
  ["22° 30' 15\"", "5401/240"],
  ["22°30′15″", "5401/240"],
  ["22°30′15”", "5401/240"],
  ["22°30'15''", "5401/240"],
  ["22°30′15,5″", "162031/7200"],
  ["22° 15″", "5281/240"],
  ["30'", "1/2"],
  ["90'", "3/2"],
  ["15 arcsec", "1/240"],
  ["1/3°", "1/3"],
  ["-22.5°", "-45/2"],
  ["−22°30'", "-45/2"],
  ["-0°30'", "-1/2"],
  [-0.05, "-1/20"],
  ["0", "0"],
  ["-0°", "0"],
  ["360°", "360"],
  ["-360 deg", "-360"],
  ["359°59′59.999999″", "1295999999999/3600000000"],
];

/** Input, exact radians. */
const IN_RADIANS: readonly (readonly [unknown, AngleUnit, string])[] = [
  ["0.39 rad", "deg", "39/100"],
  ["0,39 rad", "deg", "39/100"],
  ["−0.39 rad", "deg", "-39/100"],
  ["0.39", "rad", "39/100"],
  [0.39, "rad", "39/100"],
  ["1/3 rad", "deg", "1/3"],
];

const REFUSED: readonly (readonly [unknown, string])[] = [
  ["22.5 mm", "mm is a unit of length"],
  ["2 3/8 in", "in is a unit of length"],
  ["22.5 grad", "the unit grad is not known; an angle is in deg (or °)"],
  ["22.5 DEG", "write deg in small letters"],
  ["22°60'", "its minutes are 60 or more"],
  ["22°30'60\"", "its seconds are 60 or more"],
  ["22.5°30'", "its degrees are not a whole number"],
  ["22°30.5'15\"", "its minutes are not a whole number"],
  ["22°30", "has no mark"],
  ["22 30'", "two numbers with no unit between them"],
  ["30' 22°", "out of order"],
  ["22° 22°", "repeated"],
  ["22° -30'", "the sign - stands where no sign can be"],
  ["22° 0.1 rad", "radians stand alone"],
  ["0.1 rad 22°", "radians stand alone"],
  ["0.1 rad 0.2 rad", "radians stand alone"],
  ["22°°", "two units in a row"],
  ["°", "there is no number"],
  ["22,500°", "write 22.500 if it is a decimal mark"],
  ["1/0°", "zero below its line"],
  ["360.0000000000000000000001°", "no angle here is beyond 360 degrees"],
  ["-360°0'0.001\"", "no angle here is beyond 360 degrees"],
  ["6.2831853072 rad", "no angle here is beyond 360 degrees"],
  [1e9, "no angle here is beyond 360 degrees"],
  ["1e400", "power of ten is out of reach"],
  [Number.NaN, "not a finite number"],
  ["Infinity", "not a finite number"],
  ["", "nothing to read"],
  [null, "neither a number nor a text"],
  [[22.5], "neither a number nor a text"],
  ["9".repeat(100), "at most 80 characters"],
];

describe("parseAngle", () => {
  it.each(ACCEPTED)("reads %j as %s degrees", (input, degrees) => {
    expect(parseAngle(input)).toBe(radiansOf(rational(degrees)));
  });

  it.each(IN_RADIANS)("reads %j (bare: %s) as %s radians", (input, unit, rad) => {
    expect(parseAngle(input, { unit })).toBe(nearestDouble(rational(rad)));
  });

  it("takes a whole turn in radians as far as doubles reach", () => {
    expect(parseAngle(2 * Math.PI, { unit: "rad" })).toBe(2 * Math.PI);
    expect(parseAngle("360°")).toBe(2 * Math.PI);
  });

  it.each(REFUSED)("refuses %j: %s", (input, fragment) => {
    expect(() => parseAngle(input)).toThrow(QuantityError);
    expect(() => parseAngle(input)).toThrow(fragment);
  });

  it("says one whole sentence whose example it accepts", () => {
    for (const unit of ["deg", "rad"] as const)
      for (const [input] of REFUSED) {
        let refused: unknown;
        try {
          parseAngle(input, { unit, what: "ramp angle" });
        } catch (error) {
          refused = error;
        }
        expect(refused).toBeInstanceOf(QuantityError);
        const { message, examples } = refused as QuantityError;
        expect(message).toMatch(
          /^ramp angle: [^;]+; [^;]+; the value was [^;]+; write for example “[^”]+”( or “[^”]+”)?\.$/,
        );
        for (const example of examples)
          expect(parseAngle(example, { unit, sign: "positive" })).toBeGreaterThan(0);
      }
  });

  it("keeps the sign the caller asks for", () => {
    expect(() => parseAngle("-5°", { sign: "positive" })).toThrow(
      "it is negative; it must be more than zero",
    );
    expect(() => parseAngle(0, { sign: "positive" })).toThrow("it is zero; it must be more than zero");
    expect(() => parseAngle("-5°", { sign: "non-negative" })).toThrow("it must be zero or more");
    expect(parseAngle("0°", { sign: "non-negative" })).toBe(0);
  });

  it("refuses options it does not know", () => {
    expect(() => parseAngle("5", { unit: "grad" as "deg" })).toThrow("unit option");
  });
});
