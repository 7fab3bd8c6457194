import { describe, expect, it } from "vitest";
import { renderMarkdown } from "../../src/render/page/markdown.js";
import { type Column, type Figure, markdownText, resultTable, type Shown } from "../../src/render/text.js";

const DEGREE = Math.PI / 180;
const cells: Column<Shown>[] = [{ heading: "x", cell: (shown) => shown }];
/** The heading, then the rows as they stand. */
function text(...rows: Shown[]): string[] {
  const [heading, , ...body] = resultTable(rows, cells).text!.split("\n");
  return [heading!.trim(), ...body];
}
const spaces = (html: string): string => html.replaceAll(/[\u2007\u2008]/g, " ");

describe("a table of results", () => {
  it("puts a unit that all share into the heading, points one under the other", () => {
    const rows: Figure[] = [
      { value: 0.0371, unit: "mm" },
      { value: -12.5, unit: "mm", digits: 1 },
      { value: 3, unit: "mm", digits: 0 },
    ];
    expect(text(...rows)).toEqual(["x (mm)", "  0.037", "−12.5", "  3"]);
    const { html } = resultTable(rows, cells);
    expect(spaces(html)).toContain(">−12.5  </td>");
    // Spaces that HTML keeps, as wide as what they stand for.
    expect(html).toContain(">\u2007\u20073\u2008\u2007\u2007\u2007</td>");
  });

  it("keeps units beside the figures where they differ", () => {
    expect(text({ value: 0.61 * DEGREE, unit: "deg" }, { value: 0.25, unit: "mm" })).toEqual([
      "x",
      "0.61°",
      "0.250 mm",
    ]);
  });

  it("rounds a value to its uncertainty, to two figures of it where it begins with a 1 (JCGM 100:2008, 7.2.6)", () => {
    expect(
      text(
        { value: 0.6149, unit: "mm", U: 0.061, signed: true },
        { value: -0.2412, unit: "mm", U: 0.0182, signed: true },
        { value: 2.24, unit: "mm", U: 12, signed: true },
      ),
    ).toEqual(["x (mm)", "+0.61  ±  0.06", "−0.241 ±  0.018", "+2     ± 12"]);
  });

  it("writes ranges and shares", () => {
    expect(text({ value: -0.002, to: 0.1, unit: "mm", signed: true })).toContain("−0.002 to +0.100");
    const mixed = [
      { value: 0.31 * DEGREE, to: 0.45 * DEGREE, unit: "deg", signed: true },
      { value: -0.198, to: -0.13, unit: "mm", signed: true },
    ] as const;
    expect(text(...mixed)).toEqual(["x", " +0.31 to +0.45°", "−0.198 to −0.130 mm"]);
    expect(text({ value: 0.945, unit: "%" }, { value: 0, unit: "%" })).toEqual(["x (%)", "   95", "    0"]);
    expect(text({ value: -0.0004, unit: "none" })).toContain("0.00");
  });

  it("sets numbers to the right and text to the left, whatever the front end would do", () => {
    const { html } = resultTable(
      [{ a: "heel", b: { value: 1, unit: "mm" } as Figure }],
      [
        { heading: "end", cell: ({ a }) => a },
        { heading: "gap", cell: ({ b }) => b },
      ],
    );
    expect(html).toMatch(/<th scope="col" style="text-align:left">end</);
    expect(html).toMatch(/<td class="number" style="text-align:right;[^"]*">1\.000</);
  });

  it("says where there is nothing, and keeps text as it is", () => {
    expect(text({ value: 1, unit: "none" }, null, "not determined")).toEqual([
      "x",
      "          1.00",
      "             –",
      "not determined",
    ]);
    expect(resultTable(["<b>"], cells).html).toContain("&lt;b&gt;");
  });
});

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
