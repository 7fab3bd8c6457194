import { createHash } from "node:crypto";
import type { CutList } from "../../cutlist/cut-list.js";
import { CAUTIONS } from "../text/cautions.js";
import { escapeHtml } from "../text/escape-html.js";
import { tied } from "../text/tied.js";
import { cutListNotes } from "./cut-list-notes.js";
import { type CutTable, cutListTables } from "./cut-list-rows.js";
import { CUT_LIST_STYLE } from "./cut-list-style.js";

/**
 * The list as a page of its own to print and tick off: no scripts, nothing loaded, every text of the job inert.
 *
 * @param date printed as it is
 */
export function cutListHtml(list: CutList, date: string): string {
  const { title, units } = list.job;
  const hash = createHash("sha256").update(CUT_LIST_STYLE(units)).digest("base64");
  const policy = `default-src 'none'; style-src 'sha256-${hash}'; base-uri 'none'; form-action 'none'`;
  const items = (texts: readonly string[]): string =>
    texts.map((text) => `<li>${escapeHtml(tied(text))}</li>`).join("");
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>${escapeHtml(`Cut list: ${title}`)}</title>
<style>${CUT_LIST_STYLE(units)}</style>
</head>
<body>
<main>
<header><h1>Cut list: ${escapeHtml(title)}</h1><p>${escapeHtml(date)}</p></header>
${cutListTables(list).map(tableHtml).join("\n")}
<section class="notes"><h2>What it rests on</h2><ul>${items(cutListNotes(list))}</ul></section>
<section class="care"><h2>Take care</h2><ul>${items(CAUTIONS)}</ul></section>
</main>
</body>
</html>
`;
}

/** Tables that are ticked off line by line. */
const TICKED = new Set(["Pieces", "Set-ups", "Laps", "Sticks"]);

function tableHtml({ title, heading, rows, right }: CutTable): string {
  const ticked = TICKED.has(title);
  const cell = (tag: "th" | "td", text: string, column: number): string =>
    `<${tag}${tag === "th" ? ' scope="col"' : ""}${right.includes(column) ? ' class="number"' : ""}>${escapeHtml(tied(text))}</${tag}>`;
  const box = ticked ? '<td class="tick"><span></span></td>' : "";
  const head = `${ticked ? '<th scope="col" class="tick">done</th>' : ""}${heading.map((text, c) => cell("th", text, c)).join("")}`;
  const body = rows
    .map((row) => `<tr>${box}${row.map((text, c) => cell("td", text, c)).join("")}</tr>`)
    .join("\n");
  return `<section><h2>${escapeHtml(title)}</h2><div class="wide" tabindex="0" role="region" aria-label="${escapeHtml(title)}"><table><thead><tr>${head}</tr></thead><tbody>
${body}
</tbody></table></div></section>`;
}
