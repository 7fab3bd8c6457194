import { type Html, html, htmlTable, tied } from "../../../render/html.js";
import type { HtmlOutput } from "../../../render/notebook/display.js";
import { textTable, wrapped } from "../../../render/text.js";
import type { CardStep, SetUpCard } from "./set-up-card.js";

/** The card for a terminal, 96 columns wide. */
export function cardText(card: SetUpCard): string {
  const rows = card.rows.map(({ name, error, means, verdict, verdictText }) => [
    ...[name, error, means],
    verdict === "adjust" ? verdictText.toUpperCase() : verdictText,
  ]);
  return [
    `SET-UP CARD  ${card.title}`,
    wrapped(card.cell),
    card.date,
    "",
    textTable(["jig or stop", "error now", "meaning", "verdict"], rows, [1]),
    "",
    `Stock: ${card.thickness}`,
    wrapped(card.fit),
    ...card.unseparated.map((text) => wrapped(text)),
    "",
    "WHAT TO DO",
    ...(card.steps.length === 0 ? [`  ${NOTHING}`] : []),
    ...card.steps.flatMap(({ about, action, reason, check }) => [
      wrapped([`${about}:`, action, reason].filter((part) => part !== "").join(" "), 96, "  "),
      ...(check === "" ? [] : [wrapped(`Then check: ${check}`, 96, "    ")]),
    ]),
    ...(card.staying.length === 0 ? [] : ["", "WHAT STAYS AS IT IS"]),
    ...card.staying.map((text) => wrapped(text, 96, "  ")),
    "",
    wrapped(`WHAT TO EXPECT OF A CELL (it closes at ${card.closing})`),
    textTable(["", "as it is", "after the moves"], card.forecast, [1, 2]),
    ...(card.forecastDoubt === "" ? [] : [wrapped(card.forecastDoubt)]),
    "",
    ...card.notes.map((note) => wrapped(note)),
    "",
    "TAKE CARE",
    ...card.cautions.map((caution) => wrapped(caution, 96, "  ")),
    "",
  ].join("\n");
}

/** The card for a page: plain HTML without scripts, with all text from the job escaped. */
export function cardHtml(card: SetUpCard): string {
  const { steps, staying } = card;
  const rows = card.rows.map(({ name, error, means, verdictText }) => [name, error, means, verdictText]);
  const paragraphs = (texts: readonly string[]): Html[] => texts.map((text) => html`<p>${tied(text)}</p>`);
  return String(html`<section class="set-up-card" style="border:2px solid #444;border-radius:4px;padding:0 1rem 0.5rem;break-inside:avoid">
<h2>Set-up card: ${card.title}</h2>
<p>${card.cell} · ${card.date}</p>
<div class="wide" style="overflow-x:auto" tabindex="0">
${htmlTable(["jig or stop", "error now (U, 95 %)", "meaning", "verdict"], rows, [1])}
</div>
${paragraphs([`Stock: ${card.thickness}`, card.fit, ...card.unseparated])}
<h3>What to do</h3>
${steps.length === 0 ? html`<p>${NOTHING}</p>` : html`<ol>${steps.map(stepHtml)}</ol>`}
${staying.length === 0 ? "" : html`<h3>What stays as it is</h3><ul>${staying.map((text) => html`<li>${tied(text)}</li>`)}</ul>`}
<h3>What to expect of a cell</h3>
<p>${tied(`It closes at ${card.closing}. ${card.forecastDoubt}`)}</p>
<div class="wide" style="overflow-x:auto" tabindex="0">
${htmlTable(["", "as it is", "after the moves"], card.forecast, [1, 2])}
</div>
${paragraphs(card.notes)}
<h3>Take care</h3>
<ul>${card.cautions.map((text) => html`<li>${text}</li>`)}</ul>
</section>`);
}

const NOTHING = "Nothing: leave every jig and stop as it is.";

function stepHtml({ about, action, reason, check }: CardStep): Html {
  const after = check === "" ? "" : html`<br>${tied(`Then check: ${check}`)}`;
  return html`<li><strong>${about}</strong>: ${tied(`${action} ${reason}`)}${after}</li>`;
}

/** The card as a notebook shows it: HTML, and the terminal's text beside it. */
export const cardDisplay = (card: SetUpCard): HtmlOutput => ({
  html: cardHtml(card),
  text: cardText(card),
});

const FIRST_WORDS = "SET-UP CARD";

/**
 * Finds the set-up card among an executed notebook's outputs and returns its text, so that the report and the terminal cannot show different cards.
 *
 * @throws Error when no cell showed one.
 */
export function cardIn(notebook: {
  readonly cells: readonly { readonly outputs?: readonly object[] }[];
}): string {
  for (const output of notebook.cells.flatMap(({ outputs = [] }) => outputs).reverse()) {
    const { data } = output as { data?: Record<string, string | string[]> };
    const plain = data?.["text/plain"];
    const text = Array.isArray(plain) ? plain.join("") : plain;
    if (text?.startsWith(FIRST_WORDS)) return text;
  }
  throw new Error("No cell of the notebook showed a set-up card.");
}
