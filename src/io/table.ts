import { CsvError, parse } from "csv-parse/sync";
import { type LengthUnit, parseAngle, parseLength, type SignRule } from "../core/quantity/index.js";
import { describe, listed, turnsText } from "../core/text.js";
import { exampleIn } from "./example-units.js";
import {
  type FaultParts,
  faultSentence,
  JobError,
  type JobFault,
  nearest,
  orRefuse,
  unknownWord,
  wordIn,
} from "./faults.js";
import { readText } from "./files.js";

/** The columns of a kind of table. */
export interface TableSpec<C extends string> {
  readonly columns: Readonly<Record<C, TableColumn>>;
  /** Completes "The table lacks …; it needs part and value": `, and value, or low and high`. */
  readonly alsoNeeds?: string;
  /** A whole sentence about headings that do not go together, if there is one. */
  readonly headingFault?: (columns: readonly (C | undefined)[]) => string | undefined;
  /** The first line of an example table; default all columns. */
  readonly headings?: readonly C[];
  /** Whether a row may leave out its last entries; default false. */
  readonly shortRows?: boolean;
}

export interface TableColumn {
  readonly needed: boolean;
  readonly example: string;
  /** Whether a sign at its start may belong to a number, so that it needs no apostrophe against spreadsheets. */
  readonly number?: boolean;
}

/** A table as typed; the faults of its rows are noted in `faults`. */
export interface Table<C extends string> {
  /** In the order of the table. */
  readonly columns: readonly C[];
  readonly rows: readonly Row<C>[];
  readonly faults: TableFaults;
}

/** Largest number of rows read. */
export const MAX_ROWS = 100_000;

/**
 * Reads a table with cells separated by commas, semicolons or tabs and headings in any order. Rows with a wrong number of cells are noted and left out.
 *
 * @throws JobError when the file, its quotation marks or its headings cannot be read
 */
export function readTable<C extends string>(file: string, spec: TableSpec<C>): Table<C> {
  const text = readText(file);
  const faults = new TableFaults(file);
  const names = Object.keys(spec.columns) as C[];
  const delimiter = delimiterOf(text, names);
  // One more for the headings, and one to detect that there are too many.
  const [heading, ...others] = parseRecords(text, delimiter, MAX_ROWS + 2, faults);
  if (heading === undefined) {
    const sentence = "The table is empty; its first line has the headings.";
    faults.note({ line: 1, sentence, example: names.join(delimiter) });
    faults.requireFaultless();
    return { columns: [], rows: [], faults };
  }
  const columns = readHeadings(heading, spec, delimiter, faults);
  const tooMany = others[MAX_ROWS];
  if (tooMany !== undefined) {
    const sentence = `The table is too long; at most ${MAX_ROWS} rows are read.`;
    faults.note({ line: tooMany.line, sentence, example: "a table for each batch" });
    faults.requireFaultless();
  }
  const rows = others.flatMap(({ line, cells }): Row<C>[] => {
    const least = spec.shortRows ? 0 : heading.cells.length;
    const most = spec.shortRows ? Number.POSITIVE_INFINITY : heading.cells.length;
    const surplus = cells.slice(columns.length);
    if (cells.length >= least && cells.length <= most && surplus.every((cell) => cell === ""))
      return [new Row(line, byColumn(cells, columns, spec), columns, delimiter, faults)];
    const sentence = `The row has ${cells.length} entries and the table ${columns.length} columns (${listed(columns)}), separated by ${SPOKEN[delimiter]}; an empty entry keeps its separator. The row starts with ${describe(cells[0])}.`;
    const hint =
      delimiter === "," && cells.length > columns.length
        ? " A number with a decimal comma counts as two here: write a point, or separate the entries by semicolons."
        : "";
    const example = columns.map((column) => spec.columns[column].example).join(delimiter);
    faults.note({ line, sentence: sentence + hint, example });
    return [];
  });
  return { columns, rows, faults };
}

function byColumn<C extends string>(
  cells: readonly string[],
  columns: readonly C[],
  spec: TableSpec<C>,
): Map<C, string> {
  return new Map(
    columns.map((column, i) => {
      const cell = cells[i] ?? "";
      return [column, spec.columns[column].number ? cell : textOf(cell)];
    }),
  );
}

const SPOKEN = { ",": "commas", ";": "semicolons", "\t": "tabs" } as const;
type Delimiter = keyof typeof SPOKEN;

/** The separator of the cells: the one that splits the first line into the most known headings. */
function delimiterOf(text: string, names: readonly string[]): Delimiter {
  const first = text.split("\n").find((line) => line.trim() !== "") ?? "";
  const score = (delimiter: Delimiter): number => {
    const parts = first.split(delimiter);
    const known = parts.filter((part) => headingIn(names, part.replaceAll('"', "")) !== undefined).length;
    // If no heading is known, any separator that splits the line.
    return known + (parts.length > 1 ? 0.5 : 0);
  };
  return (Object.keys(SPOKEN) as Delimiter[]).reduce((best, delimiter) =>
    score(delimiter) > score(best) ? delimiter : best,
  );
}

/** The line on which a record starts, and its cells without spaces at their ends. */
interface TableRecord {
  readonly line: number;
  readonly cells: readonly string[];
}

/** Those of the first `most` records that are not empty. */
function parseRecords(
  text: string,
  delimiter: Delimiter,
  most: number,
  faults: TableFaults,
): readonly TableRecord[] {
  try {
    const records = parse(text, {
      delimiter,
      info: true,
      trim: true,
      skip_empty_lines: true,
      relax_column_count: true,
      relax_quotes: true,
      to: most,
    }) as unknown as { info: { lines: number }; record: string[] }[];
    const found = records.flatMap(({ info, record }): TableRecord[] => {
      if (record.every((cell) => cell === "")) return [];
      // A record that has a cell with line breaks ends on a later line.
      const breaks = record.reduce((sum, cell) => sum + cell.split("\n").length - 1, 0);
      return [{ line: info.lines - breaks, cells: record }];
    });
    for (const { line, cells } of found)
      for (const [i, cell] of cells.entries())
        if (isUnseen(cell)) faults.note({ line, column: i + 1, ...unseenFault(`cell ${i + 1}`, cell) });
    return found;
  } catch (error) {
    if (!(error instanceof CsvError)) throw error;
    const unclosed = error.code === "CSV_QUOTE_NOT_CLOSED";
    const sentence = unclosed
      ? "A quotation mark is opened and not closed; a text in quotation marks ends with one."
      : "A quotation mark is closed and more text follows it; one that is opened is closed, and one inside a quoted text is written twice.";
    const line = unclosed ? openedAt(text, delimiter) : Number(error.lines);
    faults.note({ line, sentence, example: '"touched up, then read again"' });
    faults.requireFaultless();
    return [];
  }
}

/** Whether a cell has characters that could control the terminal or change how the text appears. */
export const isUnseen = (cell: string): boolean => /(?![\n\t])\p{Cc}/u.test(cell) || turnsText(cell);

export const unseenFault = (what: string, value: string): Pick<JobFault, "sentence" | "example"> => ({
  sentence: faultSentence({
    what,
    problem: "it contains an invisible character",
    rule: "a cell is plain text, so leave that character out",
    value,
  }),
  example: "",
});

/** The line of the last quotation mark that starts a cell. */
function openedAt(text: string, delimiter: Delimiter): number {
  const start = Math.max(text.lastIndexOf(`${delimiter}"`), text.lastIndexOf('\n"'));
  return text.slice(0, start + 2).split("\n").length;
}

/** A first line with more entries than this cannot be the headings. */
const MOST_HEADINGS = 50;

/** The column that a heading names, regardless of case and with spaces allowed for hyphens. */
function headingIn<C extends string>(names: readonly C[], typed: string): C | undefined {
  const plain = typed
    .trim()
    .toLowerCase()
    .replace(/[\s_]+/g, "-");
  return names.find((name) => name === plain);
}

/** The columns in the order of the table. */
function readHeadings<C extends string>(
  heading: TableRecord,
  { columns: known, alsoNeeds = "", headingFault, headings }: TableSpec<C>,
  delimiter: Delimiter,
  faults: TableFaults,
): C[] {
  const { line } = heading;
  const names = Object.keys(known) as C[];
  const example = (headings ?? names).join(delimiter);
  // Spreadsheets add empty entries at the end of every line.
  const cells = heading.cells.slice(0, heading.cells.findLastIndex((cell) => cell !== "") + 1);
  if (cells.length > MOST_HEADINGS) {
    const sentence = `The first line has ${cells.length} entries; it has the headings, of which there are ${names.length}.`;
    faults.note({ line, sentence, example });
    faults.requireFaultless();
  }
  const columns = cells.map((cell) => headingIn(names, cell));
  const needed = names.filter((name) => known[name].needed);
  const missing = needed.filter((name) => !columns.includes(name));
  const spare = missing[0] ?? names.at(-1) ?? "";
  for (const [i, cell] of cells.entries()) {
    const found = columns[i];
    if (found === undefined) {
      const near = nearest(cell, names);
      const guess = near === undefined ? "" : `Did you mean ${near}? `;
      const sentence = `The heading ${describe(cell)} is not known. ${guess}The columns are ${listed(names)}.`;
      faults.note({ line, column: i + 1, field: cell, sentence, example: near ?? spare });
    } else if (columns.indexOf(found) < i) {
      const problem = `${found} is in columns ${columns.indexOf(found) + 1} and ${i + 1}`;
      const sentence = faultSentence({ what: "heading", problem, rule: "each column is there once" });
      faults.note({ line, column: i + 1, field: found, sentence, example: spare });
    }
  }
  if (missing.length > 0) {
    const sentence = `The table lacks the column${missing.length > 1 ? "s" : ""} ${listed(missing)}; it needs ${listed(needed)}${alsoNeeds}.`;
    faults.note({ line, sentence, example });
  }
  const sentence = headingFault?.(columns);
  if (sentence !== undefined) faults.note({ line, sentence, example });
  faults.requireFaultless();
  return columns.filter((column) => column !== undefined);
}

/** Characters that a spreadsheet takes for the start of a formula. */
const FORMULA = /^[=+\-@＝＋－＠]/;

/** A text as a cell that no spreadsheet runs as a formula: an apostrophe is put before anything that looks like one. */
export const inertCell = (text: string): string => (FORMULA.test(text) ? `'${text}` : text);

/** The inverse: the text of such a cell. */
const textOf = (cell: string): string =>
  cell.startsWith("'") && FORMULA.test(cell.slice(1)) ? cell.slice(1) : cell;

/** One row of a table, which also notes its faults. */
export class Row<C extends string> {
  /** @param cells the cells by column, without spaces at their ends */
  constructor(
    /** Number of its line, from 1; for readings made in memory, their number. */
    readonly line: number,
    private readonly cells: ReadonlyMap<C, string>,
    private readonly columns: readonly C[],
    private readonly delimiter: Delimiter,
    private readonly faults: TableFaults,
  ) {}

  /** Name of the row in messages: `line 3`. */
  get name(): string {
    return this.faults.rowName(this.line);
  }

  /** The content of a cell; empty if the table has no such column. */
  get(column: C): string {
    return this.cells.get(column) ?? "";
  }

  /** Notes a fault of a cell. Its value, if any, is added to the sentence unless `parts` has `value`. */
  refuse(column: C, parts: Omit<FaultParts, "what">, example: string): undefined {
    const typed = this.get(column);
    const value = typed === "" ? {} : { value: typed };
    return this.note(column, faultSentence({ what: column, ...value, ...parts }), example);
  }

  /** Notes a whole sentence about a cell. */
  note(column: C, sentence: string, example: string): undefined {
    const place = { line: this.line, column: this.columns.indexOf(column) + 1, field: column };
    this.faults.note({ ...place, sentence, example });
    return undefined;
  }

  /** The known word in a cell, regardless of case; `undefined` after noting that it is none of them. */
  word<T extends string>(column: C, kind: string, known: readonly T[], example = known[0]): T | undefined {
    const typed = this.get(column);
    const found = wordIn(known, typed);
    if (found !== undefined) return found;
    const [problem, rule] =
      typed === "" ? ["nothing is written", `every row names a ${kind}`] : unknownWord(typed, kind, known);
    return this.refuse(column, { problem, rule }, nearest(typed, known) ?? example ?? kind);
  }

  /**
   * A length (mm) or an angle (rad) in a cell; `undefined` after noting a fault.
   *
   * @param unit the unit of a number that has none
   */
  quantity(
    column: C,
    kind: "length" | "angle",
    { unit, sign, example }: { readonly unit: string; readonly sign: SignRule; readonly example: string },
  ): number | undefined {
    const typed = this.get(column);
    // If semicolons separate the cells, a comma can only be a decimal mark.
    const plain = this.delimiter === ";" ? typed.replace(/^([^.,]*),([^.,]*)$/, "$1.$2") : typed;
    // The exponent of a number is not a unit.
    const hasUnit = /[\p{L}°'"′″‘’“”º˚]/u.test(plain.replace(/(?<=\d)e[+-]?\d+/giu, ""));
    const text = hasUnit ? plain : `${plain} ${unit}`;
    return orRefuse(
      column,
      typed,
      () => (kind === "angle" ? parseAngle(text, { sign }) : parseLength(text, { unit: "mm", sign })),
      (sentence) => this.note(column, sentence, example),
    );
  }
}

type Noted = Pick<JobFault, "line" | "sentence" | "example"> & Partial<Pick<JobFault, "column" | "field">>;

/** Collects the faults of one table. */
export class TableFaults {
  readonly #faults: JobFault[] = [];
  /** Units of the examples. */
  units: LengthUnit = "mm";

  /**
   * @param file its path, or the common name of readings made in memory
   * @param nameOf the name of a row made in memory; a row of a file is named by its line
   */
  constructor(
    private readonly file: string,
    private readonly nameOf?: (line: number) => string,
  ) {}

  get count(): number {
    return this.#faults.length;
  }

  rowName(line: number): string {
    return this.nameOf?.(line) ?? `line ${line}`;
  }

  /** Without `column` and `field` the fault concerns the whole line. */
  note({ line, column = 0, field = "", sentence, example }: Noted): void {
    const place =
      this.nameOf === undefined
        ? { file: this.file, line, column }
        : { file: this.nameOf(line), line: 0, column: 0 };
    this.#faults.push({ ...place, field, sentence, example });
  }

  /** @throws JobError with everything noted so far */
  requireFaultless(): void {
    if (this.#faults.length === 0) return;
    throw new JobError(
      this.#faults.map((fault) => ({ ...fault, example: exampleIn(fault.example, this.units) })),
    );
  }
}
