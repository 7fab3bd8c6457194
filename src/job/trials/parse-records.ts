import { CsvError, parse } from "csv-parse/sync";
import { turnsText } from "../../quantity/spell-out.js";
import { faultSentence } from "../unfit.js";
import { headingOf } from "./headings.js";
import type { TableFaults } from "./table-faults.js";

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
