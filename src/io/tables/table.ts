import { CsvError, parse } from "csv-parse/sync";
import { describe } from "../../core/quantity/quantity-error.js";
import { turnsText } from "../../core/quantity/spell-out.js";
import { faultSentence, JobError, type JobFault, listed, nearest } from "../faults.js";

const DELIMITERS = [",", ";", "\t"] as const;
export type Delimiter = (typeof DELIMITERS)[number];

/** The line that a record starts on, and its cells without spaces at their ends. */
export interface TableRecord {
  readonly line: number;
  readonly cells: readonly string[];
}

/** What separates the cells: whatever splits the first line into the most headings that are known. */
export function delimiterOf(text: string): Delimiter {
  const first = text.split("\n").find((line) => line.trim() !== "") ?? "";
  const score = (delimiter: Delimiter): number => {
    const parts = first.split(delimiter);
    const known = parts.filter((part) => headingOf(part.replaceAll('"', "")) !== undefined).length;
    // Where no heading is known, whatever splits the line at all.
    return known + (parts.length > 1 ? 0.5 : 0);
  };
  return DELIMITERS.reduce((best, delimiter) => (score(delimiter) > score(best) ? delimiter : best));
}

/** Of the first `most` records those that hold anything; `null` after noting that the text is no table. */
export function parseRecords(
  text: string,
  delimiter: Delimiter,
  most: number,
  faults: TableFaults,
): TableRecord[] | null {
  try {
    const records = parse(text, {
      ...{ delimiter, info: true, trim: true, skip_empty_lines: true },
      ...{ relax_column_count: true, relax_quotes: true, to: most },
    }) as unknown as { info: { lines: number }; record: string[] }[];
    return records.flatMap(({ info, record }): TableRecord[] => {
      if (record.every((cell) => cell === "")) return [];
      // A cell with line breaks in it ends its record further down.
      const breaks = record.reduce((sum, cell) => sum + cell.split("\n").length - 1, 0);
      const line = info.lines - breaks;
      refuseUnseen(record, line, faults);
      return [{ line, cells: record }];
    });
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const unclosed = error.code === "CSV_QUOTE_NOT_CLOSED";
    const sentence = unclosed
      ? "A quotation mark is opened and not closed; a text in quotation marks ends with one."
      : "A quotation mark is closed and more text follows it; one that is opened is closed, and one inside a quoted text is written twice.";
    const line = unclosed ? openedAt(text, delimiter) : Number(error.lines);
    faults.note({ line, sentence, example: '"touched up, then read again"' });
    return null;
  }
}

/** A cell that could drive the terminal, or show what is not there, is no text. */
function refuseUnseen(cells: readonly string[], line: number, faults: TableFaults): void {
  for (const [i, cell] of cells.entries()) {
    if (!/(?![\n\t])\p{Cc}/u.test(cell) && !turnsText(cell)) continue;
    const problem = "it holds a sign that cannot be seen";
    const rule = "a cell is plain text, so leave that sign out";
    const sentence = faultSentence({ what: `cell ${i + 1}`, problem, rule, value: cell });
    faults.note({ line, column: i + 1, sentence, example: "" });
  }
}

/** The line of the last quotation mark that starts a cell. */
function openedAt(text: string, delimiter: Delimiter): number {
  const start = Math.max(text.lastIndexOf(`${delimiter}"`), text.lastIndexOf('\n"'));
  return text.slice(0, start + 2).split("\n").length;
}

/** What a spreadsheet takes for the start of a formula. */
const FORMULA = /^[=+\-@＝＋－＠]/;

/** A text as a cell that no spreadsheet runs: an apostrophe is put before what looks like a formula. */
export const inertCell = (text: string): string => (FORMULA.test(text) ? `'${text}` : text);

/** The text of such a cell. */
export const cellText = (cell: string): string =>
  cell.startsWith("'") && FORMULA.test(cell.slice(1)) ? cell.slice(1) : cell;

type Noted = Pick<JobFault, "line" | "sentence" | "example"> & Partial<Pick<JobFault, "column" | "field">>;

/** Gathers what is wrong in one table. */
export class TableFaults {
  private readonly file: string;
  private readonly faults: JobFault[] = [];

  constructor(file: string) {
    this.file = file;
  }

  get count(): number {
    return this.faults.length;
  }

  /** Without `column` and `field` the fault is of the whole line. */
  note(fault: Noted): void {
    this.faults.push({ file: this.file, column: 0, field: "", ...fault });
  }

  /** @throws JobError with everything noted so far. */
  requireFaultless(): void {
    if (this.faults.length > 0) throw new JobError(this.faults);
  }
}

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
function headingOf(typed: string): Column | undefined {
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
