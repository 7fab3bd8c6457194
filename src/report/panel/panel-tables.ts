import type { PanelBudgetLine } from "../../panel/panel-budget.js";
import type { PanelPrediction } from "../../panel/panel-prediction.js";
import type { Html } from "../display/show.js";
import { shareText } from "../outlook/percent-text.js";
import { htmlTable } from "../text/html-table.js";
import { textTable } from "../text/text-table.js";
import { countText } from "./count-text.js";
import { WAY_WORDS } from "./panel-words.js";
import { withinText } from "./within-text.js";

/** A table that shows itself, and stands in a text. */
type Table = Html & { readonly text: string };

/** Panels side by side under names: how often every cell closes, and how many cells are to be re-fitted. */
export function panelsTable(panels: Readonly<Record<string, PanelPrediction>>): Table {
  return table(
    ["panel", "every cell closes", "if cells failed one by one", "cells to re-fit", "of"],
    Object.entries(panels).map(([name, { closes, closesUnshared, refits, places }]) => [
      ...[name, withinText(closes), shareText(closesUnshared), countText(refits.mean)],
      String(places.length),
    ]),
    [1, 2, 3, 4],
  );
}

/** The ways of making a panel, the same panels in each. */
export function panelWaysTable({ ways }: PanelPrediction): Table {
  return table(
    ["pieces", "every cell closes", "cells to re-fit", "fewer than as cut"],
    (ways ?? []).map(({ way, closes, refits, fewerRefits }) => [
      ...[WAY_WORDS[way].short, withinText(closes), countText(refits)],
      way === "as-cut" ? "" : countText(fewerRefits),
    ]),
    [1, 2, 3],
  );
}

const KINDS: Readonly<Record<PanelBudgetLine["kind"], string>> = {
  ...{ shared: "one a panel", own: "each anew", mixed: "" },
};

/** What drives a panel: `sources` one by one, or several `together`. */
export function panelBudgetTable(
  { budget }: PanelPrediction,
  which: "sources" | "together" = "sources",
): Table {
  return table(
    [which === "sources" ? "source" : "together", "its error is", "re-fits fewer", "closes more often"],
    (budget?.[which] ?? []).map(({ name, kind, fewerRefits, closesMore }) => [
      ...[name, KINDS[kind], countText(fewerRefits), withinText(closesMore)],
    ]),
    [2, 3],
  );
}

const table = (heading: string[], rows: string[][], right: number[]): Table => ({
  html: htmlTable(heading, rows, right),
  text: textTable(heading, rows, right),
});
