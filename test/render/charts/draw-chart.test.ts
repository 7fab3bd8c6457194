import { describe, expect, it } from "vitest";
import { drawChart, specToSvg, svgToPng } from "../../../src/render/charts/draw-chart.js";

const spec = {
  $schema: "https://vega.github.io/schema/vega-lite/v5.json",
  width: 200,
  height: 100,
  data: {
    values: [
      { a: 1, b: 2 },
      { a: 2, b: 3 },
    ],
  },
  mark: { type: "line", clip: true },
  encoding: {
    x: { field: "a", type: "quantitative", title: "angle, °" },
    y: { field: "b", type: "quantitative" },
  },
};

describe("a drawing", () => {
  it("has name and description, escaped, for a screen reader", async () => {
    const svg = await specToSvg(spec, { title: "Gap < limit", description: "A & B" });
    expect(svg).toMatch(/^<svg role="img"[^>]*><title>Gap &lt; limit<\/title><desc>A &amp; B<\/desc>/);
    expect(svg).toContain("angle, °");
  });

  it("has neither when there is none", async () => {
    expect(await specToSvg(spec)).not.toMatch(/<title>|<desc>/);
  });

  it("is the same text each time, with ids that another drawing does not have", async () => {
    const [first, again, other] = [
      await specToSvg(spec),
      await specToSvg(spec),
      await specToSvg({ ...spec, width: 210 }),
    ];
    const ids = (svg: string) => [...svg.matchAll(/ id="([^"]+)"/g)].map((match) => match[1]!);
    const used = (svg: string) => [...svg.matchAll(/url\(#([^)]+)\)/g)].map((match) => match[1]!);
    expect(again).toBe(first);
    expect(ids(first).length).toBeGreaterThan(0);
    expect(new Set(used(first))).toEqual(new Set(ids(first)));
    expect(ids(other).filter((id) => ids(first).includes(id))).toEqual([]);
  });

  it("draws a point where its scale puts it", async () => {
    const points = {
      ...spec,
      mark: "point",
      encoding: {
        x: { field: "a", type: "quantitative", scale: { domain: [0, 4] } },
        y: { field: "b", type: "quantitative", scale: { domain: [0, 4] } },
      },
    };
    // (1, 2) and (2, 3) on 200 × 100 for 0 … 4 each way, y downwards.
    const svg = await specToSvg(points);
    expect(svg).toContain('transform="translate(50,50)"');
    expect(svg).toContain('transform="translate(100,25)"');
  });
});

describe("no drawing is made", () => {
  it.each([
    ["of an unknown mark", { ...spec, mark: "nosuch" }],
    [
      "of a field that is not in the data",
      { ...spec, encoding: { x: { field: "missing", type: "quantitative" } } },
    ],
    ["of a channel that is unknown", { ...spec, encoding: { ...spec.encoding, nosuch: { field: "a" } } }],
    ["of data from elsewhere", { ...spec, data: { url: "https://example.org/a.json" } }],
  ])("%s", async (_name, wrong) => {
    await expect(specToSvg(wrong)).rejects.toThrow("the chart cannot be drawn");
  });
});

it("a chart keeps its specification as Vega-Lite 5, its drawing and its text", async () => {
  const { vegaLite, svg, text } = await drawChart({
    ...spec,
    $schema: "other",
    title: { text: ["T", "two"] },
    description: "D.",
  });
  expect(vegaLite).toEqual({ ...spec, title: { text: ["T", "two"] }, description: "D." });
  expect(svg).toContain("<title>T two</title>");
  expect(text).toBe("T two. D.");
});

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
