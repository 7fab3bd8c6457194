import { spellOut } from "../core/quantity/spell-out.js";

/** Text made inert inside HTML, also within an attribute's quotes; signs that cannot be seen are spelt out. */
export const escapeHtml = (text: string): string => escapeMarks(spellOut(text));

const MARKS: Record<string, string> = { "&": "&amp;", "<": "&lt;", ">": "&gt;", '"': "&quot;", "'": "&#39;" };

/** The signs that mean something to HTML replaced, and nothing else: for a page inside an attribute, which must stay the same to the letter. */
export const escapeMarks = (text: string): string => text.replace(/[&<>"']/g, (mark) => MARKS[mark]!);

/** Keeps a number with its unit, its `±` and its `=` on one line: the spaces between them no longer break. */
export const tied = (text: string): string =>
  text
    .replaceAll(/(?<=\d) (?=(?:mm|in|thou|%|±)(?![\p{L}]))/gu, "\u00A0")
    .replaceAll(/(?<=[±=≤+−]) (?=\d)/gu, "\u00A0")
    .replaceAll(/(?<=(?:mm|in|thou|°)) (?=±)/gu, "\u00A0")
    .replaceAll(/(?<=\b[Uk]) (?==)/gu, "\u00A0");

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
