import { describe, expect, it } from "vitest";
import { renderMarkdown } from "../../../src/render/page/markdown.js";

const render = (text: string) => String(renderMarkdown(text, { place: "a.ipynb, cells[2]" }));

it("shows HTML as text", () => {
  expect(render("a <script>b</script>")).toBe("<p>a &lt;script&gt;b&lt;/script&gt;</p>\n");
  expect(render("[a](javascript:b)")).not.toContain("href");
});

describe("formulas", () => {
  it("are MathML, inline and apart", () => {
    expect(render("so $x^2$")).toMatch(/<p>so <span class="katex"><math .*<msup>/);
    expect(render("$$\n\\frac{a}{b}\n$$")).toContain('display="block"');
    expect(render("$90^\\circ ± 1$")).toContain("±");
  });

  it("that cannot be read are an error, and the next page is not blamed for it", () => {
    const wrong = () => render("$\\nosuchthing$");
    expect(wrong).toThrow("a formula cannot be read");
    expect(wrong).toThrow("\\nosuchthing");
    expect(wrong).toThrow("a.ipynb, cells[2]");
    expect(render("fine")).toBe("<p>fine</p>\n");
  });
});

describe("pictures", () => {
  it("are taken from the cell", () => {
    const attachments = { "a b.png": { "image/png": "AA\nAA" } };
    expect(String(renderMarkdown('![a "b"](attachment:a%20b.png)', { place: "", attachments }))).toBe(
      '<p><img src="data:image/png;base64,AAAA" alt="a &quot;b&quot;"></p>\n',
    );
  });

  it.each(["https://example.org/a.png", "a.png", "attachment:missing.png"])(
    "are not fetched from %s",
    (address) => {
      expect(() => render(`![a](${address})`)).toThrow(
        `a picture lies outside of the notebook; a page holds all it shows; ${address}`,
      );
    },
  );
});

describe("tables", () => {
  const cells = (html: string) =>
    [...html.matchAll(/<(t[hd]\b)([^>]*)>/g)].map((match) => `${match[1]}${match[2]}`);

  it("have columns of numbers to the right", () => {
    const html = render(
      "| joint | gap | note |\n|---|---|---|\n| key | **−0.02 mm** | 3 left |\n| toe | 1.5 ± 0.2 | 4 |\n| heel | – | 5 |",
    );
    expect(html).toMatch(/^<div class="wide" tabindex="0"><table>[\s\S]*<\/table><\/div>\n$/);
    const row = (tag: string) => [tag, `${tag} class="number"`, tag];
    expect(cells(html)).toEqual([...row("th"), ...row("td"), ...row("td"), ...row("td")]);
  });

  it("are aligned as they say when they say so", () => {
    expect(cells(render("| a |\n|:-:|\n| 1 |"))).toEqual([
      'th style="text-align:center"',
      'td style="text-align:center"',
    ]);
  });

  it("of words, and without rows, stay as they are", () => {
    expect(cells(render("| a |\n|---|\n| 3 left |\n\n| b |\n|---|"))).toEqual(["th", "td", "th"]);
  });
});
