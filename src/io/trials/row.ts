import { isUserError, type UserError } from "../../core/errors.js";
import { formatLength } from "../../core/quantity/index.js";
import { describe } from "../../core/quantity/quantity-error.js";
import type { BenchName } from "../../model/cell/benches.js";
import type { Cell } from "../../model/cell/cell.js";
import { compileCell } from "../../model/cell/compile-cell.js";
import { runsOfJoint } from "../../model/cell/face-id.js";
import type { Job } from "../../model/job/job.js";
import { jobBench, jobCell } from "../../model/job/job-cell.js";
import type { SetUp } from "../../model/shop.js";
import { jigOf } from "../../model/shop.js";
import { type FaultParts, faultSentence, listed, nearest, unknownWord, wordIn } from "../faults.js";
import {
  COLUMNS,
  type Column,
  cellText,
  type Delimiter,
  delimiterOf,
  parseRecords,
  readHeadings,
  type TableFaults,
  type TableRecord,
} from "../tables/table.js";

/** One row of a table, with a place to note what is wrong in it. */
export class Row {
  readonly line: number;
  private readonly cells: TableRow["cells"];
  private readonly columns: readonly Column[];
  private readonly faults: TableFaults;

  constructor({ line, cells }: TableRow, columns: readonly Column[], faults: TableFaults) {
    this.line = line;
    this.cells = cells;
    this.columns = columns;
    this.faults = faults;
  }

  /** A cell without spaces at its ends; empty where the table has no such column. */
  get(column: Column): string {
    return this.cells[column];
  }

  /** Notes what is wrong with a cell; its value, if it has one, is added to the sentence unless `value` is in `parts`. */
  refuse(
    column: Column,
    parts: Omit<FaultParts, "what"> & { readonly what?: string },
    example: string,
  ): undefined {
    const typed = this.get(column);
    const value = typed === "" ? {} : { value: typed };
    return this.note(column, faultSentence({ what: column, ...value, ...parts }), example);
  }

  /** Notes a whole sentence about a cell. */
  note(column: Column, sentence: string, example: string): undefined {
    const place = { line: this.line, column: this.columns.indexOf(column) + 1, field: column };
    this.faults.note({ ...place, sentence, example });
    return undefined;
  }

  /** The known word in a cell, in any mixture of capitals; `undefined` after noting that it is none of them. */
  word<T extends string>(
    column: Column,
    kind: string,
    known: readonly T[],
    example = known[0],
  ): T | undefined {
    const typed = this.get(column);
    const found = wordIn(known, typed);
    if (found !== undefined) return found;
    const [problem, rule] =
      typed === "" ? ["nothing is written", `every row names a ${kind}`] : unknownWord(typed, kind, known);
    return this.refuse(column, { problem, rule }, nearest(typed, known) ?? example ?? kind);
  }
}

/** Most rows read. */
export const MAX_ROWS = 100_000;

const SPOKEN: Record<Delimiter, string> = { ",": "commas", ";": "semicolons", "\t": "tabs" };

/** A row's cells by heading; a column that the table does not have is empty. */
interface TableRow {
  readonly line: number;
  readonly cells: Readonly<Record<Column, string>>;
}

interface Table {
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

/** What the rows of a table are read against: the job, its cell, and the benches as its jigs would meet them. */
export class Workshop {
  readonly job: Job;
  readonly cell: Cell;
  readonly delimiter: Delimiter;
  readonly faults: TableFaults;
  readonly #benches = new Map<string, Cell | UserError>();
  readonly #jointParts = new Map<Cell, JointParts>();
  /** Whether the readings are still to be taken, so that a row need not say what was read. */
  readonly planned: boolean;

  constructor(job: Job, delimiter: Delimiter, faults: TableFaults, planned = false) {
    this.planned = planned;
    this.job = job;
    this.cell = jobCell(job);
    this.delimiter = delimiter;
    this.faults = faults;
  }

  /** The label of the jig that a set-up uses, rad. */
  jigAngle(setUp: SetUp): number {
    return jigOf(this.job, setUp).ramp;
  }

  /** A bench for a piece cut at a set-up, or why it does not suit. */
  bench(name: BenchName, setUp: SetUp): Cell | UserError {
    const key = `${name} ${setUp.name}`;
    const known = this.#benches.get(key);
    if (known !== undefined) return known;
    const made = buildable(() => compileCell(jobBench(this.job, name, setUp)));
    this.#benches.set(key, made);
    return made;
  }

  /** Every run of a joint's name that begins and ends at a point or a bar, with the joints that have it: `point.start-left|line` has `start-left`. */
  partsOfJoints(cell: Cell): JointParts {
    const known = this.#jointParts.get(cell);
    if (known) return known;
    const parts = new Map<string, string[]>();
    for (const { name } of cell.joints)
      for (const part of new Set(runsOfJoint(name))) parts.set(part, [...(parts.get(part) ?? []), name]);
    this.#jointParts.set(cell, parts);
    return parts;
  }

  /** A length as a cell of the table could say it: `0.05 mm`. */
  lengthText(mm: number): string {
    const unit = this.job.units === "mm" ? ({ unit: "mm" } as const) : ({ unit: "in" } as const);
    return formatLength(mm, { ...unit, digits: 6 }).replace(/\.?0+ /, " ");
  }
}

/** Joints by the parts of their names. */
export type JointParts = ReadonlyMap<string, readonly string[]>;

function buildable(build: () => Cell): Cell | UserError {
  try {
    return build();
  } catch (error) {
    if (isUserError(error, "cell")) return error;
    throw error;
  }
}
