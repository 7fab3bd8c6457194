import { describe, listed, spellOut } from "../../core/text.js";
import type { PanelSide } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import type { Place, Reading, ReadingBench, ReadQuantity } from "../../model/readings.js";
import { faultSentence, nearest } from "../faults.js";
import { trialsFile } from "../files.js";
import { isUnseen, Row, readTable, TableFaults, unseenFault } from "../table.js";
import { readReading } from "./read-reading.js";
import { COLUMNS, TRIALS_TABLE, type TrialColumn, type TrialRow } from "./trials-csv.js";
import { Workshop } from "./workshop.js";

/**
 * Loads a table of trial readings with cells separated by commas, semicolons or tabs. The result is in mm and rad.
 * A number without a unit is in the row's `unit` or, if that is empty, in the job's (angles in degrees). A gap's low end of zero
 * is read as an open end, because a closed joint may be pressed.
 *
 * @param path the job's folder, its job file, or the table itself
 * @param job the loaded job whose set-ups and instruments the rows name
 * @throws JobError with all faults of the table
 * @example
 * loadTrials("data/alcove-screen", job).length // 58
 */
export function loadTrials(path: string, job: Job): Reading[] {
  return loadTable(path, job, false);
}

/**
 * Loads a table of readings still to be taken: as {@link loadTrials}, but a row may leave out the reading, which then has no bounds.
 *
 * @throws JobError with all faults of the table
 * @example
 * loadTrialPlan("data/alcove-screen/plan.csv", job).length > 0 // true
 */
export function loadTrialPlan(path: string, job: Job): Reading[] {
  return loadTable(path, job, true);
}

function loadTable(path: string, job: Job, planned: boolean): Reading[] {
  const file = trialsFile(path);
  const { rows, faults } = readTable(file, TRIALS_TABLE);
  return readRows(rows, new Workshop(job, faults, planned)).map((reading) => ({ ...reading, file }));
}

/**
 * A reading as plain data, under the headings of a trials table; docs/job-files.md describes them. A number is in `unit` or, if there is none, in the
 * job's units (an angle in degrees); a text may have its own unit.
 */
export interface ReadingData {
  readonly id: string | number;
  /** Name or number of the trial, an index; readings of one trial are of the same pieces. */
  readonly trial: string | number;
  /** The set-up that cut the trial piece; left out for a whole cell. */
  readonly "set-up"?: string;
  readonly round?: string;
  readonly bench: ReadingBench;
  /** The joint of a gap, the cut of an angle, the piece of a length or thickness, the side of a shoulder length, the jig of a ramp; left out for the widest of all joints. */
  readonly joint?: string;
  readonly what: ReadQuantity;
  readonly at?: Place;
  readonly side?: PanelSide;
  /** Either a value or an interval, mm or degrees; an end that is open is left out. */
  readonly value?: string | number;
  readonly low?: string | number;
  readonly high?: string | number;
  readonly unit?: string;
  readonly instrument: string;
  readonly note?: string;
}

/**
 * Makes readings of trial pieces from plain data, with the checks and messages of a table of trials. The result is in mm and rad.
 *
 * @throws JobError with all faults, each with its reading in `file` and its key in `field`
 *
 * @example
 * const job = loadJob("data/alcove-screen");
 * const [reading] = makeReadings(job, [
 *   {
 *     id: "r1",
 *     trial: "1",
 *     "set-up": "diagonal-start",
 *     bench: "corner-90",
 *     joint: "start-left",
 *     what: "gap",
 *     low: 0.05,
 *     high: "0.1 mm",
 *     instrument: "feeler",
 *   },
 * ]);
 * reading.high; // 0.1
 */
export function makeReadings(job: Job, data: readonly ReadingData[]): Reading[] {
  const faults = new TableFaults("readings", (line) => nameOf(data[line - 1], line));
  const rows = data.map(
    (reading, i) => new Row(i + 1, cellsOf(reading, i + 1, faults), COLUMNS, ",", faults),
  );
  return readRows(rows, new Workshop(job, faults, false));
}

/** Name of a reading in messages: `reading 3 (r3)`. */
function nameOf(reading: ReadingData | null | undefined, line: number): string {
  const id = reading?.id;
  return `reading ${line}${typeof id === "string" || typeof id === "number" ? ` (${spellOut(String(id))})` : ""}`;
}

/** The cells that a table would have for a reading. */
function cellsOf(reading: ReadingData, line: number, faults: TableFaults): Map<TrialColumn, string> {
  const cells = new Map<TrialColumn, string>();
  for (const [key, value] of Object.entries(reading ?? {})) {
    const column = COLUMNS.find((name) => name === key);
    if (column === undefined) {
      const near = nearest(key, COLUMNS);
      const guess = near === undefined ? "" : `Did you mean ${near}? `;
      const sentence = `The key ${describe(key)} is not known here. ${guess}The keys here are ${listed(COLUMNS)}.`;
      faults.note({ line, field: key, sentence, example: near ?? COLUMNS[0] });
      continue;
    }
    if (value === undefined || value === null) continue;
    const cell = String(value).trim();
    const place = { line, field: column };
    if (typeof value !== "string" && typeof value !== "number") {
      const rule = "it is a text or a number";
      const sentence = faultSentence({ what: column, problem: "it cannot be used", rule, value });
      faults.note({ ...place, sentence, example: TRIALS_TABLE.columns[column].example });
    } else if (isUnseen(cell)) faults.note({ ...place, ...unseenFault(column, cell) });
    else cells.set(column, cell);
  }
  return cells;
}

function readRows(rows: readonly TrialRow[], shop: Workshop): Reading[] {
  requireOneOfEach(
    rows,
    shop.job.setUps.map(({ name }) => name),
  );
  const readings = rows.flatMap((row) => readReading(row, shop) ?? []);
  shop.faults.requireFaultless();
  return readings;
}

/** Notes a repeated id, and a trial whose rows name two set-ups: the pieces of one trial are all cut at one set-up. */
function requireOneOfEach(rows: readonly TrialRow[], setUpNames: readonly string[]): void {
  const ids = new Map<string, TrialRow>();
  const setUps = new Map<string, TrialRow>();
  const known = new Set(setUpNames.map((name) => name.toLowerCase()));
  for (const row of rows) {
    const id = row.get("id");
    const first = ids.get(id);
    if (first === undefined) ids.set(id, row);
    else if (id !== "") {
      const problem = `${first.name} has this id already`;
      row.refuse("id", { problem, rule: "each reading has an id of its own" }, freeId(id, ids));
    }
    requireOneSetUp(row, setUps, known);
  }
}

function requireOneSetUp(row: TrialRow, firsts: Map<string, TrialRow>, known: ReadonlySet<string>): void {
  const trial = row.get("trial");
  // A whole cell has pieces from every set-up.
  const ofCell = row.get("bench").toLowerCase() === "cell";
  const setUp = row.get("set-up").toLowerCase();
  if (trial === "" || (ofCell ? setUp !== "" : !known.has(setUp))) return;
  const first = firsts.get(trial);
  if (first === undefined) firsts.set(trial, row);
  else if (first.get("set-up").toLowerCase() !== setUp) {
    const earlier = first.get("set-up");
    const problem = `${first.name} has the same trial with ${earlier === "" ? "a whole cell" : `the set-up ${earlier}`}`;
    const rule = "the readings of one trial are of the same pieces, so give this one a trial of its own";
    row.refuse("trial", { problem, rule }, `${trial}-${row.line}`);
  }
}

function freeId(id: string, taken: ReadonlyMap<string, TrialRow>): string {
  for (let next = 2; ; next++) if (!taken.has(`${id}-${next}`)) return `${id}-${next}`;
}
