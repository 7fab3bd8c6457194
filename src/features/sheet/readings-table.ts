import { stringify } from "csv-stringify/sync";
import { formatLength, parseLength } from "../../core/quantity/index.js";
import { JobError } from "../../io/faults.js";
import { inertCell, readTable } from "../../io/table.js";
import { loadTrialPlan } from "../../io/trials/load-trials.js";
import { COLUMNS, TRIALS_TABLE, type TrialColumn, USUAL_COLUMNS } from "../../io/trials/trials-csv.js";
import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";

/** One row of the table of trials as it is typed; one that nothing is written in yet is still to be read. */
export type SheetRow = Readonly<Record<TrialColumn, string>>;

/** Where the page's table of trials lies while it is read. */
export type WriteFile = (name: string, text: string) => void;

const AMOUNTS: readonly TrialColumn[] = ["value", "low", "high"];

/** Whether anything was read. */
export const isTaken = (row: SheetRow): boolean => AMOUNTS.some((column) => row[column] !== "");

/**
 * The rows of a table of trials, as typed.
 *
 * @throws JobError when its headings or quotation marks cannot be read
 */
export function sheetRows(file: string): SheetRow[] {
  const { rows, faults } = readTable(file, TRIALS_TABLE);
  faults.requireFaultless();
  return rows.map(
    (row) => Object.fromEntries(COLUMNS.map((column) => [column, row.get(column)])) as SheetRow,
  );
}

/** A table of trials with these rows, as `sukima` reads it. */
export function tableOf(rows: readonly SheetRow[]): string {
  const columns = rows.some(({ side }) => side !== "") ? COLUMNS : USUAL_COLUMNS;
  const cell = (column: TrialColumn, text: string): string =>
    AMOUNTS.includes(column) ? text : inertCell(text);
  return stringify([columns, ...rows.map((row) => columns.map((column) => cell(column, row[column])))]);
}

/** Rows as readings, each with the amounts that it has. @throws JobError as the command line does */
export function readingsOf(rows: readonly SheetRow[], job: Job, write: WriteFile, file: string): Reading[] {
  if (rows.length === 0) return [];
  write(file, tableOf(rows));
  return loadTrialPlan(file, job);
}

/** What is wrong with a row, in the words of the command line; `null` when nothing is. */
export function rowFault(row: SheetRow, job: Job, write: WriteFile, file: string): string | null {
  try {
    readingsOf([row], job, write, file);
    return null;
  } catch (error) {
    if (!(error instanceof JobError)) throw error;
    return error.faults
      .map(
        ({ sentence, example }) => `${sentence} Right would be: ${example === "" ? "(left empty)" : example}`,
      )
      .join("\n");
  }
}

/** Within this a written length is the leaf itself, mm: a hundredth of what the reader of tables allows. */
const SAME = 1e-8;

/** A leaf as it is written in a row's cell: a bare number in the row's unit, or with a unit of its own where that is not exact. */
export function leafCell(leaf: number, unit: string): string {
  const bare = (size: number): string => String(Number(size.toFixed(5)));
  if (unit === "mm") return bare(leaf);
  const inches = bare(leaf / 25.4);
  const exact = Math.abs(parseLength(`${inches} in`, { unit: "in" }) - leaf) < SAME;
  return exact && unit === "in" ? inches : `${Number(leaf.toFixed(6))} mm`;
}

/** A leaf as it is called in the shop: `0.05 mm`, `1.5 thou`. */
export const leafName = (leaf: number, units: Job["units"]): string =>
  units === "mm"
    ? `${Number(leaf.toFixed(3))} mm`
    : formatLength(leaf, { unit: "in", style: "thou", digits: 1 }).replace(".0 ", " ");
