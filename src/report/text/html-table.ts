import { escapeHtml } from "./escape-html.js";

/** Said on each cell: front ends of notebooks have rules of their own, and most set every cell to the right. */
const RIGHT = {
  th: ' class="number" style="text-align:right;white-space:normal"',
  td: ' class="number" style="text-align:right;white-space:nowrap;font-variant-numeric:tabular-nums"',
};
const LEFT = ' style="text-align:left"';

/** A table of plain text; the columns in `right` hold numbers and stand to the right. */
export function htmlTable(
  heading: readonly string[],
  rows: readonly (readonly string[])[],
  right: readonly number[] = [],
): string {
  const cell = (tag: "th" | "td", text: string, column: number): string => {
    const style = right.includes(column) ? RIGHT[tag] : LEFT;
    if (text === "") return `<td${style}></td>`;
    return `<${tag}${tag === "th" ? ' scope="col"' : ""}${style}>${escapeHtml(text)}</${tag}>`;
  };
  const line = (tag: "th" | "td", row: readonly string[]): string =>
    `<tr>${heading.map((_, c) => cell(tag, row[c] ?? "", c)).join("")}</tr>`;
  return `<table><thead>${line("th", heading)}</thead><tbody>${rows.map((row) => line("td", row)).join("")}</tbody></table>`;
}
