import { describe, expect, it } from "vitest";
import { svgToPng } from "../../../src/render/charts/draw-chart.js";

const svg = (inside: string) =>
  `<svg xmlns="http://www.w3.org/2000/svg" width="100" height="50">${inside}</svg>`;
const text = svg('<text x="5" y="30" font-family="sans-serif">Hx</text>');

async function pixels(drawing: string, width = 100) {
  const png = Buffer.from(await svgToPng(drawing, { width }));
  expect(png.subarray(1, 4).toString()).toBe("PNG");
  return { width: png.readUInt32BE(16), height: png.readUInt32BE(20), bytes: png.length };
}

describe("a picture", () => {
  it("has the width asked for and the drawing's shape", async () => {
    expect(await pixels(svg(""), 300)).toMatchObject({ width: 300, height: 150 });
  });

  it("shows text, or says that it cannot", async () => {
    const drawn = await svgToPng(text, { width: 100 }).catch((error: Error) => error.message);
    const empty = await svgToPng(svg(""), { width: 100 });
    if (typeof drawn === "string") expect(drawn).toContain("a PNG needs a font on this system");
    else expect(drawn.length).toBeGreaterThan(empty.length + 100);
  });

  it.each([0, -1, Number.NaN, Number.POSITIVE_INFINITY])("of width %d is refused", async (width) => {
    await expect(svgToPng(svg(""), { width })).rejects.toThrow(RangeError);
  });
});
