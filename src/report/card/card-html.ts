import { escapeHtml } from "../text/escape-html.js";
import { htmlTable } from "../text/html-table.js";
import { leftAlone } from "./card-text.js";
import type { CardRow, SetUpCard } from "./set-up-card.js";

/** The card for a page: plain HTML without scripts, every text of the job inert. */
export function cardHtml(card: SetUpCard): string {
  const toDo = card.rows.filter(({ verdict }) => verdict === "adjust" || verdict === "measure first");
  const rows = card.rows.map(({ name, error, means, verdict }) => [name, error, means, verdict]);
  const paragraphs = (texts: readonly string[]): string =>
    texts.map((text) => `<p>${escapeHtml(text)}</p>`).join("");
  return [
    '<section class="set-up-card" style="border:2px solid #444;border-radius:4px;padding:0 1rem 0.5rem;break-inside:avoid">',
    `<h2>Set-up card: ${escapeHtml(card.title)}</h2>`,
    `<p>${escapeHtml(card.cell)} · ${escapeHtml(card.date)}</p>`,
    '<div style="overflow-x:auto" tabindex="0">',
    htmlTable(["jig or stop", "error now (U, 95 %)", "meaning", "verdict"], rows, [1]),
    "</div>",
    paragraphs([`Stock: ${card.thickness}`, card.fit, ...card.unseparated]),
    "<h3>What to do</h3>",
    toDo.length === 0
      ? "<p>Nothing: leave every jig and stop as it is.</p>"
      : `<ol>${toDo.map(step).join("")}</ol>`,
    paragraphs(leftAlone(card)),
    "<h3>What to expect of a cell</h3>",
    '<div style="overflow-x:auto" tabindex="0">',
    htmlTable(["", "as it is", "after the moves"], card.outlook, [1, 2]),
    "</div>",
    paragraphs(card.notes),
    "<h3>Take care</h3>",
    `<ul>${card.cautions.map((text) => `<li>${escapeHtml(text)}</li>`).join("")}</ul>`,
    "</section>",
  ].join("\n");
}

function step({ name, action, reason, check }: CardRow): string {
  const after = check === "" ? "" : `<br>Then check: ${escapeHtml(check)}`;
  return `<li><strong>${escapeHtml(name)}</strong>: ${escapeHtml(action)} ${escapeHtml(reason)}${after}</li>`;
}
