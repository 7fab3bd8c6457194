import { createHash } from "node:crypto";
import { CAUTIONS } from "../../render/cautions.js";
import { element, type Html, html, htmlPage, tied } from "../../render/html.js";
import type { CutList } from "./cut-list.js";
import { type CutTable, cutListNotes, cutListTables } from "./cut-list-contents.js";

/**
 * The list as a page of its own to print and tick off: no scripts, nothing loaded, every text of the job inert.
 *
 * @param date printed as it is
 */
export function cutListHtml(list: CutList, date: string): string {
  const { title, units } = list.job;
  const hash = createHash("sha256").update(CUT_LIST_STYLE(units)).digest("base64");
  const policy = `default-src 'none'; style-src 'sha256-${hash}'; base-uri 'none'; form-action 'none'`;
  const items = (texts: readonly string[]): Html[] => texts.map((text) => html`<li>${tied(text)}</li>`);
  const body = html`<main>
<header><h1>Cut list: ${title}</h1><p>${date}</p></header>
${cutListTables(list).map(tableHtml)}
<section class="notes"><h2>What it rests on</h2><ul>${items(cutListNotes(list))}</ul></section>
<section class="care"><h2>Take care</h2><ul>${items(CAUTIONS)}</ul></section>
</main>`;
  return htmlPage({ title: `Cut list: ${title}`, policy, style: CUT_LIST_STYLE(units), body });
}

/** Tables that are ticked off line by line. */
const TICKED = new Set(["Pieces", "Set-ups", "Laps", "Sticks"]);

function tableHtml({ title, heading, rows, right }: CutTable): Html {
  const ticked = TICKED.has(title);
  const cell = (tag: "th" | "td", text: string, column: number): Html =>
    element(
      tag,
      { scope: tag === "th" ? "col" : undefined, class: right.includes(column) ? "number" : undefined },
      tied(text),
    );
  const box = ticked ? html`<td class="tick"><span></span></td>` : "";
  const head = ticked ? html`<th scope="col" class="tick">done</th>` : "";
  const body = rows.map(
    (row) => html`<tr>${box}${row.map((text, c) => cell("td", text, c))}</tr>
`,
  );
  return html`<section><h2>${title}</h2><div class="wide" tabindex="0" role="region" aria-label="${title}"><table><thead><tr>${head}${heading.map((text, c) => cell("th", text, c))}</tr></thead><tbody>
${body}</tbody></table></div></section>
`;
}

/** Style of the printed cut list: black on white, on the printer's whole sheet. */
export const CUT_LIST_STYLE = (units: "mm" | "in"): string => `
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
.care { border: 1.5px solid #000; margin-top: 1.4em; padding: 0 .9em .6em; break-inside: avoid; }
@page { size: ${units === "mm" ? "A4" : "letter"}; margin: 14mm; }
@media print { main { max-width: none; padding: 0; } .wide { overflow: visible; } body { font-size: 9pt; } }
@media screen and (max-width: 460px) { body { font-size: 11.5pt; } }
`;
