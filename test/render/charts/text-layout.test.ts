import { Resvg } from "@resvg/resvg-js";
import { describe, expect, it } from "vitest";
import { axisTitle, quantityText, shown } from "../../../src/render/shop-numbers.js";
import { fittedLines, textWidth, titleLines } from "../../../src/render/text-layout.js";

const drawn = (text: string, weight: string): number =>
  new Resvg(
    `<svg xmlns="http://www.w3.org/2000/svg" width="3000" height="40"><text x="2" y="25" font-family="DejaVu Sans" font-weight="${weight}" font-size="12">${text}</text></svg>`,
  ).getBBox()?.width ?? 0;
const WORDS = [
  "Widest gap 0.05 mm at the toe of diagonal.end-right on wall-right.",
  "+0.210° (+0.120 to +0.300)",
  "Feeler leaves, strip of shim stock",
  "mmmm wwww",
  "illi",
];

describe("the layout of text", () => {
  // Without a font on the system there is nothing to compare with.
  it.skipIf(drawn("x", "normal") === 0).each(WORDS)(
    "allows a little more than the letters of %j take up",
    (text) => {
      for (const weight of ["plain", "bold"] as const) {
        const share = textWidth(text, 12, weight) / drawn(text, weight === "bold" ? "bold" : "normal");
        expect(share).toBeGreaterThan(1);
        expect(share).toBeLessThan(1.8);
      }
    },
  );

  it("breaks lines that fit, and loses no letter", () => {
    const text = "one hinge-1.end-left|hinge-2.end-right toe Donaudampfschifffahrtsgesellschaftskapitän end";
    for (const width of [40, 90, 200, 1000]) {
      const lines = fittedLines(text, width, 12);
      expect(lines.join("").replaceAll(" ", "")).toBe(text.replaceAll(" ", ""));
      for (const line of lines) expect(textWidth(line, 12)).toBeLessThanOrEqual(width);
    }
    expect(fittedLines(text, 1000, 12)).toHaveLength(1);
    expect(fittedLines("", 100, 12)).toEqual([]);
  });

  it("allows titles what Vega allows them, 0.8 of the size a letter", () => {
    expect(titleLines("abcde abcde", 12 * 0.8 * 11, 12)).toEqual(["abcde abcde"]);
    expect(titleLines("abcde abcde", 12 * 0.8 * 11 - 1, 12)).toEqual(["abcde", "abcde"]);
  });
});

describe("numbers in the shop's units", () => {
  it("are converted from mm and radians", () => {
    expect(shown(25.4, "in")).toBe(1);
    expect(shown(0.0254, "thou")).toBeCloseTo(1, 12);
    expect(shown(Math.PI / 180, "arcmin")).toBeCloseTo(60, 12);
    expect(shown(Math.PI / 8, "deg")).toBeCloseTo(22.5, 12);
  });

  it("are written with sign and unit", () => {
    expect(quantityText(0.127, "mm")).toBe("0.13 mm");
    expect(quantityText(0.127, "in")).toBe("0.0050 in");
    expect(quantityText(0.127, "thou")).toBe("5.0 thou");
    expect(quantityText(Math.PI / 360, "deg", { signed: true })).toBe("+0.50°");
    expect(quantityText(-Math.PI / 360, "arcmin", { signed: true })).toBe("−30.0′");
    expect(quantityText(0.0001, "mm", { signed: true })).toBe("0.00 mm");
    expect(quantityText(-0.127, "mm", { withUnit: false })).toBe("−0.13");
    expect(quantityText(Math.PI / 360, "deg", { withUnit: false })).toBe("0.50");
    expect(axisTitle("Gap", "thou")).toBe("Gap (thou)");
    expect(() => quantityText(Number.NaN, "mm")).toThrow(/must be a finite number; it is NaN/);
  });
});
