import { createRequire } from "node:module";
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { displayBundle, show } from "../../../src/render/notebook/display.js";

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

  it("shows a chart as Vega-Lite 5, SVG and text", () => {
    expect(show({ vegaLite: { mark: "bar" }, svg: "<svg/>", text: "bars" })).toBeUndefined();
    expect(shown()).toEqual([
      {
        "application/vnd.vegalite.v5+json": { mark: "bar" },
        "image/svg+xml": "<svg/>",
        "text/plain": "bars",
      },
    ]);
  });

  it("shows a drawing, which has no specification, as SVG and text", () => {
    show({ svg: "<svg/>", text: "a cell" });
    expect(shown()).toEqual([{ "image/svg+xml": "<svg/>", "text/plain": "a cell" }]);
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
