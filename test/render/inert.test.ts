import { readdirSync, readFileSync } from "node:fs";
import { join, resolve } from "node:path";
import { describe, expect, it } from "vitest";
import { activePart, withoutLeading } from "../../src/render/inert.js";
import { SVG_MIME } from "../../src/render/notebook/display.js";
import type { Output } from "../../src/render/notebook/notebook.js";
import { outputHtml } from "../../src/render/page/output-html.js";

const DOCS = resolve(import.meta.dirname, "../../docs");
const inSvg = (inside: string, attributes = ""): string =>
  `<svg xmlns="http://www.w3.org/2000/svg"${attributes}>${inside}</svg>`;

describe("a picture that is more than a drawing", () => {
  it.each([
    ["a script", inSvg("<script>alert(1)</script>"), "the element script"],
    ["a script in another case", inSvg("<ScRiPt>alert(1)</ScRiPt>"), "the element ScRiPt"],
    ["a handler", inSvg("", ' onload="alert(1)"'), "the attribute onload"],
    ["a handler without quotes", inSvg("<g onclick=alert(1)></g>"), "something that is neither"],
    ["a picture from elsewhere", inSvg('<image href="http://example.org/a.png"/>'), "the element image"],
    ["a page within it", inSvg("<foreignObject><b>x</b></foreignObject>"), "the element foreignObject"],
    ["a link", inSvg('<a href="http://example.org">x</a>'), "the element a"],
    ["a part from elsewhere", inSvg('<use href="http://example.org/a.svg#b"/>'), "the attribute href"],
    ["a part by a script", inSvg('<use xlink:href="javascript:alert(1)"/>'), "the attribute xlink:href"],
    ["a style sheet", inSvg("<style>@import 'http://example.org'</style>"), "the element style"],
    ["a fill from elsewhere", inSvg('<g fill="url(http://example.org)"/>'), "the attribute fill"],
    ["one behind character references", inSvg('<g style="fill:&#117;rl(http://a)"/>'), "the attribute style"],
    ["one behind escapes", inSvg('<g style="fill:\\75rl(http://a)"/>'), "the attribute style"],
    [
      "an animation",
      inSvg('<animate attributeName="href" to="javascript:alert(1)"/>'),
      "the element animate",
    ],
    ["an entity", `<!DOCTYPE svg [<!ENTITY a "b">]>${inSvg("&a;")}`, "something that is neither"],
    ["another language", inSvg("", ' xmlns:h="data:,x"'), "the attribute xmlns:h"],
    ["a tag that is not closed", inSvg("<g <script>"), "something that is neither"],
    ["a comment that ends early", inSvg("<!--> <script>alert(1)</script> -->"), "something that is neither"],
  ])("has %s", (_, svg, part) => {
    expect(activePart(svg)).toMatch(new RegExp(`^${part}`));
    const good = inSvg("");
    for (const data of [
      { "image/svg+xml": svg },
      { [SVG_MIME]: { svg: [good, svg] } },
      { [SVG_MIME]: { svg: [good], narrow: [svg] } },
    ]) {
      const output: Output = {
        output_type: "display_data",
        metadata: {},
        data: { ...data, "text/plain": "a cell" },
      };
      expect(String(outputHtml(output, { specs: [], frames: [] }, "x"))).toMatch(
        /^<pre class="complaint" tabindex="0">A picture is not shown/,
      );
    }
  });

  it("is none of this project's", () => {
    const names = readdirSync(DOCS, { recursive: true, encoding: "utf8" }).filter((name) =>
      name.endsWith(".svg"),
    );
    expect(names.length).toBeGreaterThan(5);
    for (const name of names)
      expect(activePart(readFileSync(join(DOCS, name), "utf8")), name).toBeUndefined();
  });
});

it("HTML of a notebook cannot lead its page elsewhere", () => {
  expect(withoutLeading('a <META/http-equiv="refresh" content="0;url=http://a"><base href=b><metal>')).toBe(
    'a &lt;META/http-equiv="refresh" content="0;url=http://a">&lt;base href=b><metal>',
  );
});
