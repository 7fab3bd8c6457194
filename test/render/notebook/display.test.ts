import { createRequire } from "node:module";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import {
  displayBundle,
  drawingsOf,
  SVG_MIME,
  show,
  showPair,
  showWide,
  VEGA_LITE_MIME,
} from "../../../src/render/notebook/display.js";

const { cache } = createRequire(import.meta.url);
const KEY = "/some/node_modules/tslab/dist/jupyter.js";
const write = vi.fn();

it("says where it works when it is called elsewhere", () => {
  expect(() => displayBundle({})).toThrow("work inside a notebook cell");
});

describe("in a kernel", () => {
  beforeEach(() => {
    const module = { filename: KEY, exports: { lastWriteDisplayData: write } };
    cache[KEY] = module as unknown as NodeJS.Module;
  });
  afterEach(() => {
    delete cache[KEY];
    write.mockClear();
  });

  const shown = () => write.mock.calls.map(([content]) => content.data);

  it("passes all forms on as one output, and returns nothing", () => {
    expect(displayBundle({ "text/plain": "a" }, { "image/png": { width: 3 } })).toBeUndefined();
    expect(write.mock.calls).toEqual([
      [{ data: { "text/plain": "a" }, metadata: { "image/png": { width: 3 } }, transient: {} }],
    ]);
  });

  const svg = (fill: string, width = 30) =>
    `<svg xmlns="http://www.w3.org/2000/svg" width="${width}" height="20" viewBox="0 0 ${width} 20"><rect width="9" height="9" fill="${fill}"/></svg>`;
  const pngSize = (base64: string) => {
    const bytes = Buffer.from(base64, "base64");
    expect(bytes.subarray(1, 4).toString()).toBe("PNG");
    return [bytes.readUInt32BE(16), bytes.readUInt32BE(20)];
  };

  it("shows a chart as Vega-Lite 5, PNG of twice its size, SVG and text", () => {
    expect(show({ vegaLite: { mark: "bar" }, svg: svg("red"), text: "bars" })).toBeUndefined();
    const [{ "image/png": png, ...rest }] = shown();
    expect(rest).toEqual({
      [VEGA_LITE_MIME]: { mark: "bar" },
      [SVG_MIME]: { svg: [svg("red")] },
      "text/plain": "bars",
    });
    expect(pngSize(png)).toEqual([60, 40]);
    expect(write.mock.calls[0]![0].metadata).toEqual({ "image/png": { width: 30 } });
  });

  it("has no form that nbconvert prefers to PNG, so that its sanitiser finds nothing to strip", () => {
    show({ svg: svg("red"), text: "a cell" });
    expect(Object.keys(shown()[0]).sort()).toEqual([SVG_MIME, "image/png", "text/plain"].sort());
  });

  it("shows a chart at two widths, and two drawings side by side as one picture", async () => {
    await showWide((width) => ({ svg: svg("red", width), text: "bars" }));
    showPair({ svg: svg("red"), text: "sharp" }, { svg: svg("blue"), text: "blunt" });
    const [wide, pair] = shown();
    expect(wide[SVG_MIME]).toEqual({ svg: [svg("red", 720)], narrow: [svg("red", 360)] });
    expect(pngSize(wide["image/png"])[0]).toBe(1440);
    expect(pair[SVG_MIME].svg).toHaveLength(2);
    expect(pngSize(pair["image/png"])).toEqual([2 * (30 + 12 + 30), 40]);
    expect(pair["text/plain"]).toBe("sharp\n\nblunt");
  });

  it("gives back the drawings of an output, those of other programs too", () => {
    expect(drawingsOf({ [SVG_MIME]: { svg: ["<svg/>"] } })).toEqual({ svg: ["<svg/>"] });
    expect(drawingsOf({ "image/svg+xml": ["<svg>\n", "</svg>"] })).toEqual({ svg: ["<svg>\n</svg>"] });
    expect(drawingsOf({ [SVG_MIME]: { svg: [3] }, "text/plain": "x" })).toBeUndefined();
  });

  it("shows a string as Markdown, and HTML with its text if there is one", () => {
    show("**a**");
    show({ html: "<b>a</b>" });
    show({ html: "<b>a</b>", text: "a" });
    expect(shown()).toEqual([
      { "text/markdown": "**a**", "text/plain": "**a**" },
      { "text/html": "<b>a</b>" },
      { "text/html": "<b>a</b>", "text/plain": "a" },
    ]);
  });
});
