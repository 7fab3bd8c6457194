import { describe, expect, it } from "vitest";
import { type FormatLengthOptions, formatLength, QuantityError } from "../../../src/core/quantity/index.js";

/** mm, options, text. Worked by hand from 1 in = 25.4 mm. */
const PRINTED: readonly (readonly [number, FormatLengthOptions, string])[] = [
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
  it.each(PRINTED)("prints %d mm with %j as %s", (mm, options, text) => {
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
