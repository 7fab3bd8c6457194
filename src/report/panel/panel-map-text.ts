import type { PanelPrediction } from "../../panel/panel-prediction.js";
import { textTable, wrapped } from "../text/text-table.js";

/** Columns that stand beside each other on a line. */
const MOST_COLUMNS = 14;

/** Where cells do not close, as a table of the panel, or as a hint to the drawing where it is too wide. */
export function panelMapText({ places, shape, panels }: PanelPrediction): string[] {
  const { rows, columns } = shape.panel;
  const shares = places.map(({ fails }) => 100 * fails.value);
  const least = Math.min(...shares);
  const [most, halves] = [Math.max(...shares), places.map(({ fails }) => 50 * (fails.high - fails.low))];
  const digits = Math.max(...halves) < 0.5 ? 1 : 0;
  const heading = `WHERE: in how many of 100 panels each cell does not close, from ${least.toFixed(digits)} to ${most.toFixed(digits)}`;
  const trust = `Each good to ± ${Math.max(...halves).toFixed(1)} or better; ${panels.toLocaleString("en")} panels.`;
  if (columns > MOST_COLUMNS) return [heading, wrapped(`${trust} Draw the map with --out FOLDER.`)];
  const numbers = Array.from({ length: columns }, (_, k) => String(k + 1));
  return [
    heading,
    textTable(
      ["row", ...numbers],
      Array.from({ length: rows }, (_, row) => [
        String(row + 1),
        ...shares.slice(row * columns, (row + 1) * columns).map((share) => share.toFixed(digits)),
      ]),
      numbers.map((_, k) => k + 1),
    ),
    wrapped(trust),
  ];
}
