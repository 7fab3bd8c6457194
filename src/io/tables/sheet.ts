import { parseAngle, parseLength, type SignRule } from "../../core/quantity/index.js";
import { describe } from "../../core/quantity/quantity-error.js";
import { type FaultParts, faultSentence, listed, nearest, orRefuse } from "../faults.js";
import { readText } from "../files.js";
import { type Delimiter, parseRecords, TableFaults } from "./table.js";

/** The columns a small table may have. */
type SheetColumns<C extends string> = Readonly<
  Record<C, { readonly needed: boolean; readonly example: string }>
>;

/** A small table as it was typed; what is wrong with it is noted in `faults`. */
interface Sheet<C extends string> {
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

/** One row of a small table, with a place to note what is wrong in it. */
export class SheetRow<C extends string> {
  readonly line: number;
  private readonly columns: readonly C[];
  private readonly cells: readonly string[];
  private readonly faults: TableFaults;

  constructor(line: number, columns: readonly C[], cells: readonly string[], faults: TableFaults) {
    this.line = line;
    this.columns = columns;
    this.cells = cells;
    this.faults = faults;
  }

  /** A cell without spaces at its ends; empty where the table has no such column. */
  get(column: C): string {
    return (this.cells[this.columns.indexOf(column)] ?? "").trim();
  }

  /** Notes what is wrong with a cell. */
  refuse(column: C, parts: Omit<FaultParts, "what">, example: string): undefined {
    const typed = this.get(column);
    const value = typed === "" ? {} : { value: typed };
    return this.note(column, faultSentence({ what: column, ...value, ...parts }), example);
  }

  /** Notes a whole sentence about a cell. */
  note(column: C, sentence: string, example: string): undefined {
    const at = this.columns.indexOf(column) + 1;
    this.faults.note({ line: this.line, column: at, field: column, sentence, example });
    return undefined;
  }
}

/** What a measured value can be. */
export type MeasureKind = "angle" | "length";
const MEASURE_UNITS: Readonly<Record<MeasureKind, readonly string[]>> = {
  angle: ["deg", "arcmin", "rad"],
  length: ["mm", "µm", "in", "thou"],
};

/** A unit that a cell names, and what it is a unit of; `undefined` after noting that it is none. An empty cell is `usual`. */
export function readMeasureUnit<C extends string>(
  row: SheetRow<C>,
  column: C,
  usual: string,
): { readonly unit: string; readonly kind: MeasureKind } | undefined {
  const typed = row.get(column).toLowerCase() || usual;
  for (const kind of ["length", "angle"] as const)
    if (MEASURE_UNITS[kind].includes(typed)) return { unit: typed, kind };
  const rule = "a length is in mm, µm, in or thou, an angle in deg, arcmin or rad";
  return row.refuse(column, { problem: "there is no such unit", rule }, usual);
}

/** A length (mm) or an angle (rad) in a cell; `undefined` after noting what is wrong. */
export function readMeasure<C extends string>(
  row: SheetRow<C>,
  column: C,
  { unit, kind }: { readonly unit: string; readonly kind: MeasureKind },
  delimiter: Delimiter,
  sign: SignRule,
): number | undefined {
  const typed = row.get(column);
  const example = kind === "angle" ? "45.1" : "44.12";
  if (typed === "") {
    row.refuse(column, { problem: "nothing is written", rule: "every row has what was read" }, example);
    return undefined;
  }
  // Where semicolons separate the cells, a comma can only be a decimal mark.
  const plain = delimiter === ";" ? typed.replace(/^([^.,]*),([^.,]*)$/, "$1.$2") : typed;
  const text = /[\p{L}°'"′″‘’“”º˚]/u.test(plain.replace(/(?<=\d)e[+-]?\d+/giu, ""))
    ? plain
    : `${plain} ${unit}`;
  return orRefuse(
    column,
    typed,
    () => (kind === "angle" ? parseAngle(text, { sign }) : parseLength(text, { unit: "mm", sign })),
    (sentence) => row.note(column, sentence, example),
  );
}
