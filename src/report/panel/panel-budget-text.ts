import type { PanelBudgetLine } from "../../panel/panel-budget.js";
import type { PanelPrediction } from "../../panel/predict-panel.js";
import { percentText } from "../outlook/percent-text.js";
import { textTable, wrapped } from "../text/text-table.js";
import { countText } from "./count-text.js";

const KINDS: Readonly<Record<PanelBudgetLine["kind"], string>> = {
  shared: "one a panel",
  own: "each anew",
  mixed: "",
};

/** What drives a panel, as lines of text. */
export function panelBudgetText({ budget }: PanelPrediction): string[] {
  if (budget === null) return ["What drives it was not worked out."];
  const row = ({ name, kind, fewerRefits, closesMore }: PanelBudgetLine): string[] => [
    ...[name, KINDS[kind], countText(fewerRefits), percentText(closesMore)],
  ];
  const heading = ["source", "its error is", "re-fits fewer", "closes more often"];
  return [
    "WHAT DRIVES IT, costliest first: what would change if it did not vary",
    textTable(heading, budget.sources.map(row), [2, 3]),
    "",
    textTable(["together", ...heading.slice(1)], budget.together.map(row), [2, 3]),
    wrapped(
      `From ${budget.panels.toLocaleString("en")} panels simulated again for each line. The lines do not add up: where two sources each fail the same cell, mending one does not close it. Below zero: its errors make up for others. A source that does not vary stands where it is expected to be: at its label, or where a record found it.`,
    ),
  ];
}
