import { type Html, html, htmlTable } from "../../../render/html.js";
import type { HtmlOutput } from "../../../render/notebook/display.js";
import { textTable, wrapped } from "../../../render/text.js";
import type { CardRow, SetUpCard } from "./set-up-card.js";

const VERDICT = {
  adjust: "ADJUST",
  "leave alone": "leave alone",
  "measure first": "MEASURE FIRST",
  locked: "locked",
  "no adjuster": "no adjuster",
};

/** The card for a terminal, 96 columns wide. */
export function cardText(card: SetUpCard): string {
  const rows = card.rows.map(({ name, error, means, verdict }) => [name, error, means, VERDICT[verdict]]);
  const toDo = card.rows.filter(({ verdict }) => verdict === "adjust" || verdict === "measure first");
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
    ...(toDo.length === 0 ? ["  Nothing: leave every jig and stop as it is."] : []),
    ...toDo.flatMap(({ name, action, reason, check }) => [
      wrapped(`${name}: ${action} ${reason}`, 96, "  "),
      ...(check === "" ? [] : [wrapped(`Then check: ${check}`, 96, "    ")]),
    ]),
    ...leftAlone(card).map((text) => wrapped(text, 96, "  ")),
    "",
    "WHAT TO EXPECT OF A CELL",
    textTable(["", "as it is", "after the moves"], card.forecast, [1, 2]),
    "",
    ...card.notes.map((note) => wrapped(note)),
    "",
    "TAKE CARE",
    ...card.cautions.map((caution) => wrapped(caution, 96, "  ")),
    "",
  ].join("\n");
}

/** Why the rest stays as it is. */
export function leftAlone({ rows }: SetUpCard): string[] {
  const names = rows.filter(({ verdict }) => verdict === "leave alone").map(({ name }) => name);
  const reason = rows.find(({ verdict }) => verdict === "leave alone")?.reason;
  return reason ? [`Left alone: ${names.join(", ")}. ${reason}`] : [];
}

/** The card for a page: plain HTML without scripts, every text of the job inert. */
export function cardHtml(card: SetUpCard): string {
  const toDo = card.rows.filter(({ verdict }) => verdict === "adjust" || verdict === "measure first");
  const rows = card.rows.map(({ name, error, means, verdict }) => [name, error, means, verdict]);
  const paragraphs = (texts: readonly string[]): Html[] => texts.map((text) => html`<p>${text}</p>`);
  return String(html`<section class="set-up-card" style="border:2px solid #444;border-radius:4px;padding:0 1rem 0.5rem;break-inside:avoid">
<h2>Set-up card: ${card.title}</h2>
<p>${card.cell} · ${card.date}</p>
<div style="overflow-x:auto" tabindex="0">
${htmlTable(["jig or stop", "error now (U, 95 %)", "meaning", "verdict"], rows, [1])}
</div>
${paragraphs([`Stock: ${card.thickness}`, card.fit, ...card.unseparated])}
<h3>What to do</h3>
${toDo.length === 0 ? html`<p>Nothing: leave every jig and stop as it is.</p>` : html`<ol>${toDo.map(step)}</ol>`}
${paragraphs(leftAlone(card))}
<h3>What to expect of a cell</h3>
<div style="overflow-x:auto" tabindex="0">
${htmlTable(["", "as it is", "after the moves"], card.forecast, [1, 2])}
</div>
${paragraphs(card.notes)}
<h3>Take care</h3>
<ul>${card.cautions.map((text) => html`<li>${text}</li>`)}</ul>
</section>`);
}

function step({ name, action, reason, check }: CardRow): Html {
  const after = check === "" ? "" : html`<br>Then check: ${check}`;
  return html`<li><strong>${name}</strong>: ${action} ${reason}${after}</li>`;
}

/** The card as a notebook shows it: HTML, and the terminal's text beside it. */
export const cardDisplay = (card: SetUpCard): HtmlOutput => ({
  html: cardHtml(card),
  text: cardText(card),
});

const FIRST_WORDS = "SET-UP CARD";

/**
 * The set-up card among an executed notebook's outputs, as text: what the report shows and what the terminal prints cannot differ.
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
