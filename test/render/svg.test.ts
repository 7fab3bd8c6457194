import { describe, expect, it } from "vitest";
import { resizedSvg } from "../../src/render/svg.js";

const SVG =
  '<svg role="img" stroke-width="3" width="360" height="540" viewBox="0 0 360 540"><rect width="9" height="9"/></svg>';

describe("a drawing of another size", () => {
  it("keeps its proportions and what it shows", () => {
    expect(resizedSvg(SVG, 720)).toBe(SVG.replace('width="360" height="540"', 'width="720" height="1080"'));
    expect(resizedSvg(resizedSvg(SVG, 100), 360)).toBe(SVG);
  });

  it("refuses a width that is none, and a drawing without a size", () => {
    expect(() => resizedSvg(SVG, 0)).toThrow("above 0");
    expect(() => resizedSvg("<svg></svg>", 10)).toThrow("must state width");
  });
});
