import { describe } from "../../quantity/describe.js";
import { faultSentence } from "../unfit.js";
import { listed, nearest } from "../words.js";
import type { TableFaults } from "./table-faults.js";

/** Columns of a table of trials. */
export const COLUMNS = [
  "id",
  "trial",
  "set-up",
  "round",
  "bench",
  "joint",
  "what",
  "at",
  "side",
  "value",
  "low",
  "high",
  "unit",
  "instrument",
  "note",
] as const;
/** Columns of a table that is begun anew: a side is read only where cuts may lean. */
export const USUAL_COLUMNS = COLUMNS.filter((column) => column !== "side");
export type Column = (typeof COLUMNS)[number];

const NEEDED: readonly Column[] = ["id", "trial", "bench", "joint", "what", "unit", "instrument"];
/** A first line with more than this is no line of headings. */
const MOST_CELLS = 50;
const READINGS: readonly Column[] = ["value", "low", "high"];

/** The column that a heading names, in any mixture of capitals and with spaces for hyphens. */
export function headingOf(typed: string): Column | undefined {
  const plain = typed
    .trim()
    .toLowerCase()
    .replace(/[\s_]+/g, "-");
  return COLUMNS.find((column) => column === plain);
}

/** The columns in the order of the table, or `null` after noting why they cannot be used. */
export function readHeadings(
  cells: readonly string[],
  line: number,
  delimiter: string,
  faults: TableFaults,
): Column[] | null {
  if (cells.length > MOST_CELLS) {
    const sentence = `The first line has ${cells.length} entries; it has the headings, of which there are ${COLUMNS.length}.`;
    faults.note({ line, sentence, example: COLUMNS.join(delimiter) });
    return null;
  }
  const columns = cells.map(headingOf);
  const before = faults.count;
  const missing = NEEDED.filter((column) => !columns.includes(column));
  for (const [i, cell] of cells.entries()) {
    const found = columns[i];
    if (found === undefined) {
      const near = nearest(cell, COLUMNS);
      const guess = near === undefined ? "" : `Did you mean ${near}? `;
      const sentence = `The heading ${describe(cell)} is not known. ${guess}The columns are ${listed(COLUMNS)}.`;
      faults.note({ line, column: i + 1, field: cell, sentence, example: near ?? missing[0] ?? "note" });
    } else if (columns.indexOf(found) < i) {
      const sentence = faultSentence({
        what: "heading",
        problem: `${found} stands in columns ${columns.indexOf(found) + 1} and ${i + 1}`,
        rule: "each column is there once",
      });
      faults.note({ line, column: i + 1, field: found, sentence, example: missing[0] ?? "note" });
    }
  }
  if (missing.length > 0)
    faults.note({
      line,
      sentence: `The table lacks the column${missing.length > 1 ? "s" : ""} ${listed(missing)}; it needs ${listed(NEEDED)}, and value, or low and high.`,
      example: COLUMNS.join(delimiter),
    });
  if (!READINGS.some((column) => columns.includes(column)))
    faults.note({
      line,
      sentence: "The table has no column for what was read; it needs value, or low and high, or all three.",
      example: COLUMNS.join(delimiter),
    });
  return faults.count === before ? (columns as Column[]) : null;
}
