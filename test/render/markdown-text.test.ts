import { expect, it } from "vitest";
import { renderMarkdown } from "../../src/render/page/markdown.js";
import { markdownText } from "../../src/render/text.js";

const shown = (text: string): string =>
  String(renderMarkdown(`**${markdownText(text)}**: said.`, { place: "here" }));

it.each([
  "Alcove screen, three new jigs (invented)",
  "a_b *c* `d` ~e~ | f",
  "costs $5 and $6, 2^3^",
  "[a](http://example.org) ![b](http://example.org/x.png)",
  "<script>alert(1)</script> & <b>",
  "\\ # 1. - + !",
])("shows a job's text as it is: %s", (text) => {
  const inert = text.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll(">", "&gt;");
  expect(shown(text)).toBe(`<p><strong>${inert}</strong>: said.</p>\n`);
});

it("keeps it on its line", () => {
  expect(shown("a\n\n# b")).toBe("<p><strong>a # b</strong>: said.</p>\n");
});
