import { describe } from "../../quantity/describe.js";
import { readText } from "../file/read-text.js";
import { type Delimiter, parseRecords } from "../trials/parse-records.js";
import { TableFaults } from "../trials/table-faults.js";
import { listed, nearest } from "../words.js";
import { SheetRow } from "./sheet-row.js";

/** The columns a small table may have. */
export type SheetColumns<C extends string> = Readonly<
  Record<C, { readonly needed: boolean; readonly example: string }>
>;

/** A small table as it was typed; what is wrong with it is noted in `faults`. */
export interface Sheet<C extends string> {
  readonly rows: readonly SheetRow<C>[];
  readonly columns: readonly C[];
  readonly delimiter: Delimiter;
  readonly faults: TableFaults;
}

const MOST_ROWS = 100_000;
const DELIMITERS: readonly Delimiter[] = [",", ";", "\t"];

/**
 * Takes a small table apart, its cells separated by commas, semicolons or tabs, under headings in any order.
 *
 * @throws JobError when the file or its headings cannot be read.
 */
export function readSheet<C extends string>(file: string, spec: SheetColumns<C>): Sheet<C> {
  const text = readText(file);
  const faults = new TableFaults(file);
  const names = Object.keys(spec) as C[];
  const delimiter = delimiterOf(text);
  const records = parseRecords(text, delimiter, MOST_ROWS + 2, faults) ?? [];
  faults.requireFaultless();
  const [heading, ...others] = records;
  const exampleLine = (pick: (name: C) => string): string => names.map(pick).join(delimiter);
  if (heading === undefined) {
    const sentence = "The table is empty; its first line has the headings.";
    faults.note({ line: 1, sentence, example: exampleLine((name) => name) });
    faults.requireFaultless();
  }
  const columns = columnsOf(heading!.cells, spec, faults, heading!.line);
  faults.requireFaultless();
  if (others.length > MOST_ROWS) {
    const sentence = `The table is too long; at most ${MOST_ROWS} rows are read.`;
    faults.note({ line: others[MOST_ROWS]!.line, sentence, example: "a table for each batch" });
    faults.requireFaultless();
  }
  const rows = others.flatMap(({ line, cells }): SheetRow<C>[] => {
    if (cells.length === columns.length || cells.slice(columns.length).every((cell) => cell === ""))
      return [new SheetRow(line, columns, cells, faults)];
    const sentence = `The row has ${cells.length} entries and the table ${columns.length} columns (${listed(columns)}); an empty entry keeps its separator.`;
    const example = columns.map((name) => spec[name].example).join(delimiter);
    faults.note({ line, sentence, example });
    return [];
  });
  return { rows, columns, delimiter, faults };
}

function delimiterOf(text: string): Delimiter {
  const first = text.split("\n").find((line) => line.trim() !== "") ?? "";
  const parts = (delimiter: Delimiter): number => first.split(delimiter).length;
  return DELIMITERS.reduce((best, delimiter) => (parts(delimiter) > parts(best) ? delimiter : best));
}

function columnsOf<C extends string>(
  cells: readonly string[],
  spec: SheetColumns<C>,
  faults: TableFaults,
  line: number,
): C[] {
  const names = Object.keys(spec) as C[];
  const filled = cells.slice(0, cells.findLastIndex((cell) => cell !== "") + 1);
  const plain = (text: string): string =>
    text
      .trim()
      .toLowerCase()
      .replace(/[\s_]+/g, "-");
  const columns = filled.map((cell) => names.find((name) => name === plain(cell)));
  for (const [i, cell] of filled.entries()) {
    const found = columns[i];
    const at = { line, column: i + 1, field: cell };
    if (found === undefined) {
      const near = nearest(cell, names);
      const guess = near === undefined ? "" : `Did you mean ${near}? `;
      const sentence = `The heading ${describe(cell)} is not known. ${guess}The columns are ${listed(names)}.`;
      faults.note({ ...at, sentence, example: near ?? names[0]! });
    } else if (columns.indexOf(found) < i) {
      const sentence = `Heading: ${found} stands twice; each column is there once.`;
      faults.note({ ...at, sentence, example: names.find((name) => !columns.includes(name)) ?? "" });
    }
  }
  const missing = names.filter((name) => spec[name].needed && !columns.includes(name));
  if (missing.length > 0) {
    const sentence = `The table lacks the column${missing.length > 1 ? "s" : ""} ${listed(missing)}; the columns are ${listed(names)}.`;
    faults.note({ line, sentence, example: names.join(",") });
  }
  return columns as C[];
}
