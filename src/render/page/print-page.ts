import { createHash } from "node:crypto";
import { CAUTIONS } from "../cautions.js";
import { element, type Html, html, htmlPage, raw, tied } from "../html.js";
import type { Drawing } from "../svg.js";

// Pages to print and tick off: black on white, no scripts, nothing loaded, every text of a job inert.

/** A table of a printed page: its heading, its rows, and which columns hold numbers. */
export interface PrintTable {
  readonly title: string;
  readonly heading: readonly string[];
  readonly rows: readonly (readonly string[])[];
  readonly right: readonly number[];
  /** Whether each row has a box to tick. */
  readonly ticked?: boolean;
  /** A drawing for each row, in a column of its own after the first. */
  readonly drawings?: readonly Html[];
}

/** A table with its heading; on a phone each row is a block, and its figures carry their headings. */
export function printTable({ title, heading, rows, right, ticked = false, drawings }: PrintTable): Html {
  const cell = (tag: "th" | "td", text: string, column: number): Html =>
    element(
      tag,
      {
        scope: tag === "th" ? "col" : undefined,
        class: right.includes(column) ? "number" : undefined,
        "data-heading": tag === "td" ? heading[column] : undefined,
      },
      tied(text),
    );
  const box = ticked ? html`<td class="tick"><span></span></td>` : "";
  const head = ticked ? html`<th scope="col" class="tick">done</th>` : "";
  const drawn = (row: number): Html | string =>
    drawings === undefined ? "" : html`<td class="drawn">${drawings[row] ?? ""}</td>`;
  const body = rows.map(
    (row, r) =>
      html`<tr>${box}${row.slice(0, 1).map((text) => cell("td", text, 0))}${drawn(r)}${row.slice(1).map((text, c) => cell("td", text, c + 1))}</tr>
`,
  );
  const [firstHeading, ...otherHeadings] = heading;
  const headings = html`${firstHeading === undefined ? "" : cell("th", firstHeading, 0)}${drawings === undefined ? "" : html`<th scope="col">drawn</th>`}${otherHeadings.map((text, c) => cell("th", text, c + 1))}`;
  const caption = title === "" ? "" : html`<h2>${title}</h2>`;
  return html`<section>${caption}<div class="wide" tabindex="0" role="region" aria-label="${title === "" ? heading.join(", ") : title}"><table><thead><tr>${head}${headings}</tr></thead><tbody>
${body}</tbody></table></div></section>
`;
}

/** Widths of a drawing on paper and on a desk, and on a phone, px. */
export const PRINT_WIDTH = { desk: 640, phone: 350 } as const;

/** A drawing twice, for a desk or paper and for a phone; the style shows one of them. */
export const printDrawing = (draw: (width: number) => Pick<Drawing, "svg">): Html =>
  html`<div class="on-desk">${raw(draw(PRINT_WIDTH.desk).svg)}</div><div class="on-phone">${raw(draw(PRINT_WIDTH.phone).svg)}</div>
`;

/** Sentences as a list; with boxes to tick where they are things to do. */
export const printList = (texts: readonly string[], ticked = false): Html =>
  html`<ul class="${ticked ? "boxes" : "plain"}">${texts.map((text) => html`<li>${tied(text)}</li>`)}</ul>`;

interface PrintPage {
  readonly title: string;
  /** Printed as it is. */
  readonly date: string;
  readonly units: "mm" | "in";
  readonly body: Html;
}

/** A whole page to print, with the cautions at its end; A4 for mm, letter for inches. */
export function printPage({ title, date, units, body }: PrintPage): string {
  const style = printStyle(units);
  const hash = createHash("sha256").update(style).digest("base64");
  const policy = `default-src 'none'; style-src 'sha256-${hash}'; base-uri 'none'; form-action 'none'`;
  return htmlPage({
    title,
    policy,
    style,
    body: html`<main>
<header><h1>${title}</h1><p>${date}</p></header>
${body}
<section class="care"><h2>Take care</h2>${printList(CAUTIONS)}</section>
</main>`,
  });
}

/** Style of a printed page: black on white, on the printer's whole sheet. */
const printStyle = (units: "mm" | "in"): string => `
:root { color-scheme: light; }
* { box-sizing: border-box; }
html { -webkit-text-size-adjust: 100%; }
body { margin: 0; background: #fff; color: #000; font: 10pt/1.4 "Helvetica Neue", Helvetica, Arial, "Liberation Sans", "DejaVu Sans", sans-serif; }
main { max-width: 52rem; margin: 0 auto; padding: 1.5rem 1.25rem; }
h1 { font-size: 15pt; line-height: 1.2; margin: 0; overflow-wrap: anywhere; }
h2 { font-size: 11pt; margin: 1.4em 0 .3em; break-after: avoid; }
p, ul { margin: 0; }
header { border-bottom: 2px solid #000; padding-bottom: .4em; }
.wide { overflow-x: auto; }
table { border-collapse: collapse; width: 100%; font-variant-numeric: tabular-nums; }
th, td { text-align: left; vertical-align: top; padding: .22em .9em .22em 0; border-bottom: 1px solid #bbb; }
thead { display: table-header-group; }
thead th { border-bottom: 1.5px solid #000; }
tr { break-inside: avoid; }
.number { text-align: right; white-space: nowrap; }
.tick { width: 3em; }
td.tick span { display: inline-block; width: .9em; height: .9em; border: 1px solid #000; vertical-align: -.1em; }
ul { padding-left: 1.1em; }
.notes { font-size: 9pt; }
.boxes { list-style: none; padding-left: 0; }
.boxes li { position: relative; padding-left: 1.7em; margin: .2em 0; }
.boxes li::before { content: ""; position: absolute; left: .1em; top: .3em; width: .9em; height: .9em; border: 1px solid #000; }
h3 { font-size: 10pt; margin: 1.1em 0 .3em; break-after: avoid; }
svg { display: block; max-width: 100%; height: auto; break-inside: avoid; }
.on-phone { display: none; }
.sheet { break-inside: avoid; }
.pieces { display: flex; flex-wrap: wrap; gap: .6em 1.4em; margin: .6em 0; }
.care { border: 1.5px solid #000; margin-top: 1.4em; padding: 0 .9em .6em; break-inside: avoid; }
@page { size: ${units === "mm" ? "A4" : "letter"}; margin: 14mm; }
@media print { .sheet { break-before: page; } svg { max-height: 235mm; } a { color: inherit; text-decoration: none; } main { max-width: none; padding: 0; } .wide { overflow: visible; } body { font-size: 9pt; } }
@media screen and (max-width: 460px) {
  body { font-size: 11.5pt; }
  h1 { font-size: 16pt; } h2 { font-size: 13pt; } h3 { font-size: 11.5pt; }
  .notes { font-size: 11.5pt; }
  .on-desk { display: none; } .on-phone { display: block; }
  .boxes li::before { top: .25em; }
  table, tbody, tr, td { display: block; width: auto; }
  thead { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); }
  tr { border-bottom: 1px solid #000; padding: .4em 0; position: relative; }
  td { border: 0; padding: .1em 0; }
  td[data-heading] { display: grid; grid-template-columns: 8.5em 1fr; gap: .6em; overflow-wrap: anywhere; }
  td[data-heading]::before { content: attr(data-heading); color: #444; }
  td:empty { display: none; }
  td.drawn { padding: .3em 0; }
  .number { text-align: left; white-space: normal; }
  td.tick { position: absolute; right: 0; top: .5em; width: auto; }
}
`;
