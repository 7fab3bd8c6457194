import { describe, expect, it } from "vitest";
import {
  type AngleUnit,
  type LengthUnit,
  parseAngle,
  parseLength,
  QuantityError,
} from "../../../src/core/quantity/index.js";
import { nearestDouble, radiansOf, rational } from "./rational.js";

/** Text, default unit, exact millimetres. An inch is 127/5 mm by definition. */
const ACCEPTED_LENGTHS: readonly (readonly [unknown, LengthUnit, string])[] = [
  ["60 mm", "in", "60"],
  ["60mm", "in", "60"],
  ["  60 mm  ", "in", "60"],
  ["60\u00A0mm", "in", "60"],
  ["60\u202Fmm", "in", "60"],
  ["6 cm", "in", "60"],
  ["0.06 m", "in", "60"],
  ["400 µm", "in", "2/5"],
  ["400 \u03BCm", "in", "2/5"],
  ["400 um", "in", "2/5"],
  ["0.4 mm", "mm", "2/5"],
  ["0,4 mm", "mm", "2/5"],
  [",4 mm", "mm", "2/5"],
  [".4 mm", "mm", "2/5"],
  ["0,125 mm", "mm", "1/8"],
  ["1,2345 mm", "mm", "2469/2000"],
  ["1,23 mm", "mm", "123/100"],
  ["1234,567 mm", "mm", "1234567/1000"],
  ["1.234 mm", "mm", "617/500"],
  ["1234 mm", "mm", "1234"],
  ["007 mm", "mm", "7"],
  ["1/3 mm", "mm", "1/3"],
  ["2 3/8 in", "mm", "2413/40"],
  ["2 3/8 in.", "mm", "2413/40"],
  ["2 3/8 inch", "mm", "2413/40"],
  ["2 3/8 inches", "mm", "2413/40"],
  ["2 3/8in", "mm", "2413/40"],
  ['2-3/8"', "mm", "2413/40"],
  ["2\u20113/8″", "mm", "2413/40"],
  ["2 3⁄8”", "mm", "2413/40"],
  ["2 3∕8“", "mm", "2413/40"],
  ["2 3 / 8''", "mm", "2413/40"],
  ["2 3/8′′", "mm", "2413/40"],
  ["2⅜″", "mm", "2413/40"],
  ["2 ⅜ in", "mm", "2413/40"],
  ["2-⅜ in", "mm", "2413/40"],
  ["19/8 in", "mm", "2413/40"],
  ["2.375 in", "mm", "2413/40"],
  ["2 3/8", "in", "2413/40"],
  ["2.375", "in", "2413/40"],
  ["7/64 in", "mm", "889/320"],
  ['⅛"', "mm", "127/40"],
  ["⅓ in", "mm", "127/15"],
  ["0/8 in", "mm", "0"],
  ["0.118 in", "mm", "7493/2500"],
  ["0,118 in", "mm", "7493/2500"],
  ["5 thou", "mm", "127/1000"],
  ["½ thou", "mm", "127/10000"],
  ["60", "mm", "60"],
  ["60", "in", "1524"],
  ["-0.12 mm", "mm", "-3/25"],
  ["−0.12 mm", "mm", "-3/25"],
  ["- 0.12 mm", "mm", "-3/25"],
  ["+0.12 mm", "mm", "3/25"],
  ["-2-3/8 in", "mm", "-2413/40"],
  ["−⅛ in", "mm", "-127/40"],
  ["-0 mm", "mm", "0"],
  ["1e-3 mm", "mm", "1/1000"],
  ["5E-05", "mm", "1/20000"],
  ["1.5e+1 mm", "mm", "15"],
  ["100000 mm", "mm", "100000"],
  ["-100 m", "mm", "-100000"],
  [60, "mm", "60"],
  [2.375, "in", "2413/40"],
  [0.1, "in", "127/50"],
  [-0.12, "mm", "-3/25"],
  [-0, "mm", "0"],
  [1e-7, "mm", "1/10000000"],
];

/** Input, a fragment of the sentence. The default unit is mm. */
const REFUSED_LENGTHS: readonly (readonly [unknown, string])[] = [
  ["1/0 in", "zero below its line"],
  ["2 0/0 in", "zero below its line"],
  ["2 9/8 in", "less than one"],
  ["2 8/8 in", "less than one"],
  ["2 3/8 deg", "deg is a unit of angle"],
  ["22.5°", "° is a unit of angle"],
  ["1,234 mm", "write 1.234 if it is a decimal mark, 1234 if it marks thousands"],
  ["-12,345", "write 12.345 if it is a decimal mark, 12345 if it marks thousands"],
  ["123,456 in", "could be a decimal mark"],
  ["1.234,5", "more than one decimal mark"],
  ["1,234.5 mm", "more than one decimal mark"],
  ["1,234,567", "more than one decimal mark"],
  ["1.2.3 mm", "more than one decimal mark"],
  ["1 234 mm", "two numbers with no unit between them"],
  ["2 3 4/8 in", "two numbers with no unit between them"],
  ["2.5 3/8 in", "two numbers with no unit between them"],
  ["½½ in", "two numbers with no unit between them"],
  ["2 - 3/8 in", "the sign - is in a place where no sign can be"],
  ["2-3 mm", "ranges are not read"],
  ["2 -3/8 in", "the sign - is in a place where no sign can be"],
  ["--2 mm", "the sign - is in a place where no sign can be"],
  ["2 + 3 mm", "the sign + is in a place where no sign can be"],
  ["-", "a number must follow the sign"],
  ["2,5/8 in", "the fraction is not complete"],
  ["1/2/3 in", "the fraction is not complete"],
  ["3/ in", "the fraction is not complete"],
  ["/8 in", "the fraction is not complete"],
  ["1/-8 in", "the fraction is not complete"],
  ["1/2.5 in", "digits follow a decimal mark"],
  ["60. mm", "digits follow a decimal mark"],
  [".", "digits follow a decimal mark"],
  ["NaN", "not a finite number"],
  ["nan mm", "not a finite number"],
  ["-Infinity", "not a finite number"],
  [".inf", "not a finite number"],
  [Number.NaN, "not a finite number"],
  [Number.POSITIVE_INFINITY, "not a finite number"],
  ["60 furlong", "the unit furlong is not known; a length is in mm, cm, m, µm (or um), in (or inch"],
  ["5 mil", "the unit mil is not known"],
  ["60 mm.", "the unit mm. is not known"],
  ["60 MM", "write mm in small letters"],
  ["2 IN", "write in in small letters"],
  ["5' 3\"", "feet are not read"],
  ["5 ft", "feet are not read"],
  ["", "nothing to read"],
  ["   \n", "nothing to read"],
  ["mm", "there is no number"],
  ['"', "there is no number"],
  ["60 mm in", "two units in a row, mm and in"],
  ["60 mm 5 cm", "it has two lengths"],
  ["60 mm 5", "it has two lengths"],
  ["2 3/8 in − 0.0012 in", "the sign - is in a place where no sign can be"],
  ["1e400 mm", "power of ten is out of reach"],
  ["1e-400", "power of ten is out of reach"],
  ["1e99 mm", "no length here is beyond 100000 mm"],
  ["100000.000000000000000000001 mm", "no length here is beyond 100000 mm"],
  ["-4000 in", "no length here is beyond 100000 mm"],
  [1e6, "no length here is beyond 100000 mm"],
  [-Number.MAX_VALUE, "no length here is beyond 100000 mm"],
  ["60 # mm", "the character # (U+0023) has no meaning"],
  ["2–3/8 in", "the character – (U+2013) has no meaning"],
  ["±0.1 mm", "the character ± (U+00B1) has no meaning"],
  ["60\u0007mm", "the character (U+0007) has no meaning"],
  ["60 \u{1F4CF}", "(U+1F4CF) has no meaning"],
  ["6٠ mm", "has no meaning"],
  [`${"1".repeat(81)} mm`, "at most 80 characters"],
  [" ".repeat(81), "at most 80 characters"],
  [null, "neither a number nor a text"],
  [undefined, "neither a number nor a text"],
  [true, "neither a number nor a text"],
  [60n, "neither a number nor a text"],
  [[60], "neither a number nor a text"],
  [{ mm: 60 }, "neither a number nor a text"],
  [Symbol("60"), "neither a number nor a text"],
];

describe("parseLength", () => {
  it.each(ACCEPTED_LENGTHS)("reads %j (bare: %s) as %s mm", (input, unit, mm) => {
    expect(parseLength(input, { unit })).toBe(nearestDouble(rational(mm)));
  });

  it.each(REFUSED_LENGTHS.map(([input, fragment]) => [String(input), fragment, input] as const))(
    "refuses %j: %s",
    (_, fragment, input) => {
      expect(() => parseLength(input, { unit: "mm" })).toThrow(QuantityError);
      expect(() => parseLength(input, { unit: "mm" })).toThrow(fragment);
    },
  );

  it("rounds once: half-way between two doubles goes to the even one, a hair above goes up", () => {
    const halfWay = "1.00000000000000011102230246251565404236316680908203125"; // 1 + 2^-53
    expect(parseLength(halfWay, { unit: "mm" })).toBe(1);
    expect(parseLength(`${halfWay}0000000000000000000001`, { unit: "mm" })).toBe(1 + Number.EPSILON);
    const third = `${"3".repeat(38)}/1${"0".repeat(38)}`;
    expect(parseLength(third, { unit: "mm" })).toBe(1 / 3);
  });

  it("says one whole sentence whose example it accepts", () => {
    for (const unit of ["mm", "in"] as const)
      for (const [input] of REFUSED_LENGTHS) {
        const error = refusalOf(() => parseLength(input, { unit, what: "strip thickness" }));
        expect(error.message).toMatch(
          /^strip thickness: [^;]+; [^;]+; the value was [^;]+; write for example “[^”]+”( or “[^”]+”)?\.$/u,
        );
        expect(error.message).not.toMatch(/undefined|\[object|[\p{Cc}\n]/u);
        for (const example of error.examples)
          expect(parseLength(example, { unit, sign: "positive" })).toBeGreaterThan(0);
      }
  });

  it("reads aloud", () => {
    expect(refusalOf(() => parseLength("1/0 in", { unit: "mm", what: "strip thickness" })).message).toBe(
      "strip thickness: the fraction has zero below its line; that number must be 1 or more; the value was “1/0 in”; write for example “60 mm” or “2 3/8 in”.",
    );
  });

  it("keeps the sign the caller asks for", () => {
    expect(parseLength("0 mm", { unit: "mm", sign: "non-negative" })).toBe(0);
    expect(parseLength("3 mm", { unit: "mm", sign: "positive" })).toBe(3);
    for (const [input, sign, fragment] of [
      ["-3 mm", "positive", "it is negative; it must be more than zero"],
      [-3, "positive", "it is negative; it must be more than zero"],
      ["0 mm", "positive", "it is zero; it must be more than zero"],
      ["-0", "positive", "it is zero; it must be more than zero"],
      ["−0.01 mm", "non-negative", "it is negative; it must be zero or more"],
    ] as const)
      expect(() => parseLength(input, { unit: "mm", sign })).toThrow(fragment);
  });

  it("never gives −0", () => {
    for (const input of ["-0", "−0.000 mm", -0, "-0/8 in"])
      expect(Object.is(parseLength(input, { unit: "mm" }), 0)).toBe(true);
  });

  it("reads every vulgar fraction Unicode has (values by NFKD, the standard's own decomposition)", () => {
    const found: string[] = [];
    for (let code = 0; code <= 0x10ffff; code++) {
      if (code >= 0xd800 && code <= 0xdfff) continue;
      const sign = String.fromCodePoint(code);
      const parts = /^(\d+)\u2044(\d+)$/.exec(sign.normalize("NFKD"));
      if (parts === null) continue;
      found.push(sign);
      const [n, d] = [BigInt(parts[1]!), BigInt(parts[2]!)];
      expect(parseLength(`${sign} in`, { unit: "mm" })).toBe(nearestDouble({ n: 127n * n, d: 5n * d }));
      expect(parseLength(`2${sign} in`, { unit: "mm" })).toBe(
        nearestDouble({ n: 127n * (2n * d + n), d: 5n * d }),
      );
    }
    expect(found).toHaveLength(19);
  });

  it("refuses options it does not know", () => {
    expect(() => parseLength("5", { unit: "cubit" as "mm" })).toThrow("unit option");
    expect(() => parseLength("5", { unit: "toString" as "mm" })).toThrow("unit option");
    expect(() => parseLength("5", { unit: "mm", sign: "plus" as "any" })).toThrow("sign option");
  });
});

function refusalOf(call: () => unknown): QuantityError {
  try {
    call();
  } catch (error) {
    if (error instanceof QuantityError) return error;
    throw error;
  }
  throw new Error("nothing was refused");
}

/** Input, exact degrees. */
const ACCEPTED_ANGLES: readonly (readonly [unknown, string])[] = [
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

const REFUSED_ANGLES: readonly (readonly [unknown, string])[] = [
  ["22.5 mm", "“mm” is a unit of length"],
  ["2 3/8 in", "“in” is a unit of length"],
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
  ["22° -30'", "the sign - is in a place where no sign can be"],
  ["22° 0.1 rad", "write radians alone"],
  ["0.1 rad 22°", "write radians alone"],
  ["0.1 rad 0.2 rad", "write radians alone"],
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
  it.each(ACCEPTED_ANGLES)("reads %j as %s degrees", (input, degrees) => {
    expect(parseAngle(input)).toBe(radiansOf(rational(degrees)));
  });

  it.each(IN_RADIANS)("reads %j (bare: %s) as %s radians", (input, unit, rad) => {
    expect(parseAngle(input, { unit })).toBe(nearestDouble(rational(rad)));
  });

  it("takes a whole turn in radians as far as doubles reach", () => {
    expect(parseAngle(2 * Math.PI, { unit: "rad" })).toBe(2 * Math.PI);
    expect(parseAngle("360°")).toBe(2 * Math.PI);
  });

  it.each(REFUSED_ANGLES)("refuses %j: %s", (input, fragment) => {
    expect(() => parseAngle(input)).toThrow(QuantityError);
    expect(() => parseAngle(input)).toThrow(fragment);
  });

  it("says one whole sentence whose example it accepts", () => {
    for (const unit of ["deg", "rad"] as const)
      for (const [input] of REFUSED_ANGLES) {
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
