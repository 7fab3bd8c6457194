import type { PanelPrediction } from "../../panel/panel-prediction.js";
import { wrapped } from "../text/text-table.js";
import { panelBudgetTable } from "./panel-tables.js";

/** What drives a panel, as lines of text. */
export function panelBudgetText(prediction: PanelPrediction): string[] {
  const { budget } = prediction;
  if (budget === null) return ["What drives it was not worked out."];
  return [
    "WHAT DRIVES IT, costliest first: what would change if it did not vary",
    panelBudgetTable(prediction).text,
    "",
    panelBudgetTable(prediction, "together").text,
    wrapped(
      `From ${budget.panels.toLocaleString("en")} panels simulated again for each line. A batch that pieces and grid have in common counts with both. The lines do not add up: where two sources each fail the same cell, mending one does not close it. Below zero: its errors make up for others, or crowd the cells that fail into fewer panels. A source that does not vary stands where it is expected to be: at its label, or where a record found it.`,
    ),
  ];
}
