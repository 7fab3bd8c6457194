import { describe } from "../../quantity/describe.js";
import { listed } from "../words.js";
import { cellText } from "./formula-cell.js";
import { COLUMNS, type Column, readHeadings } from "./headings.js";
import { type Delimiter, delimiterOf, parseRecords, type TableRecord } from "./parse-records.js";
import type { TableFaults } from "./table-faults.js";

/** Most rows read. */
export const MAX_ROWS = 100_000;

const SPOKEN: Record<Delimiter, string> = { ",": "commas", ";": "semicolons", "\t": "tabs" };

/** A row's cells by heading; a column that the table does not have is empty. */
export interface TableRow {
  readonly line: number;
  readonly cells: Readonly<Record<Column, string>>;
}

export interface Table {
  readonly delimiter: Delimiter;
  readonly columns: readonly Column[];
  readonly rows: readonly TableRow[];
}

/** Takes a table of trials apart. Rows with a wrong number of cells are noted and left out; nothing comes out without sound headings. */
export function readTable(text: string, faults: TableFaults): Table {
  const delimiter = delimiterOf(text);
  const nothing: Table = { delimiter, columns: [], rows: [] };
  // One for the headings, one to see that there are too many.
  const records = parseRecords(text, delimiter, MAX_ROWS + 2, faults);
  if (records === null) return nothing;
  const [heading, ...others] = records;
  if (heading === undefined) {
    const sentence = "The table is empty; its first line has the headings.";
    faults.note({ line: 1, sentence, example: COLUMNS.join(delimiter) });
    return nothing;
  }
  const named = heading.cells.slice(0, heading.cells.findLastIndex((cell) => cell !== "") + 1);
  const columns = readHeadings(named, heading.line, delimiter, faults);
  if (columns === null) return nothing;
  if (others.length > MAX_ROWS) {
    const sentence = `The table is too long; at most ${MAX_ROWS} rows are read.`;
    faults.note({ line: others[MAX_ROWS]!.line, sentence, example: "a table for each batch" });
    return nothing;
  }
  const sheet: Sheet = { delimiter, columns, width: heading.cells.length };
  return { delimiter, columns, rows: others.flatMap((record) => byHeading(record, sheet, faults) ?? []) };
}

/** Columns in which a sign before a digit is a sign. */
const NUMBERS: readonly Column[] = ["value", "low", "high"];

interface Sheet {
  readonly delimiter: Delimiter;
  readonly columns: readonly Column[];
  /** Entries of the first line, with the empty ones that spreadsheets leave at the ends of all lines alike. */
  readonly width: number;
}

function byHeading(
  { line, cells }: TableRecord,
  { delimiter, columns, width }: Sheet,
  faults: TableFaults,
): TableRow | undefined {
  if (cells.length === width && cells.slice(columns.length).every((cell) => cell === "")) {
    const row = Object.fromEntries(COLUMNS.map((column) => [column, ""])) as Record<Column, string>;
    for (const [i, column] of columns.entries())
      row[column] = NUMBERS.includes(column) ? cells[i]! : cellText(cells[i]!);
    return { line, cells: row };
  }
  const comma = delimiter === "," && cells.length > columns.length;
  const hint = comma
    ? " A number with a decimal comma counts as two here: write a point, or separate the entries by semicolons."
    : "";
  const sentence = `The row has ${cells.length} entries and the table ${columns.length} columns (${listed(columns)}), separated by ${SPOKEN[delimiter]}; an empty entry keeps its separator. The row starts with ${describe(cells[0])}.${hint}`;
  const example = columns.map((column) => EXAMPLE_ROW[column]).join(delimiter);
  faults.note({ line, sentence, example });
  return undefined;
}

const EXAMPLE_ROW: Record<Column, string> = {
  id: "r1",
  trial: "1",
  "set-up": "diagonal-start",
  round: "",
  bench: "corner-90",
  joint: "start-left",
  what: "gap",
  at: "widest",
  side: "",
  value: "",
  low: "0.05",
  high: "0.1",
  unit: "mm",
  instrument: "feeler",
  note: "",
};
