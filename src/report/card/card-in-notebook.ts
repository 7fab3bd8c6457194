import type { Html } from "../display/show.js";
import { cardHtml } from "./card-html.js";
import { cardText } from "./card-text.js";
import type { SetUpCard } from "./set-up-card.js";

/** The card as a notebook shows it: HTML, and the terminal's text beside it. */
export const cardDisplay = (card: SetUpCard): Html => ({ html: cardHtml(card), text: cardText(card) });

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
