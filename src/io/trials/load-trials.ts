import type { Job } from "../../model/job/job.js";
import type { Reading } from "../../model/readings.js";
import { readText, trialsFile } from "../files.js";
import { TableFaults } from "../tables/table.js";
import { readReading } from "./read-reading.js";
import { Row, readTable, Workshop } from "./row.js";

/**
 * Loads a table of trial readings, its cells separated by commas, semicolons or tabs. What comes out is in mm and rad.
 * A bare number is in the row's `unit`, or where that is empty in the job's (angles in degrees). A gap's low end of zero
 * is read as open: a closed joint may be pressed.
 *
 * @param path the job's folder, its job file, or the table itself
 * @param job the loaded job whose set-ups and instruments the rows name
 * @throws JobError with everything that is wrong in the table
 */
export function loadTrials(path: string, job: Job): Reading[] {
  return loadTable(path, job, false);
}

/**
 * Loads a table of readings still to be taken: as {@link loadTrials}, but a row may leave out what was read, and is then open at both ends.
 *
 * @throws JobError with everything that is wrong in the table
 */
export function loadTrialPlan(path: string, job: Job): Reading[] {
  return loadTable(path, job, true);
}

function loadTable(path: string, job: Job, planned: boolean): Reading[] {
  const file = trialsFile(path);
  const faults = new TableFaults(file);
  const table = readTable(readText(file), faults);
  const shop = new Workshop(job, table.delimiter, faults, planned);
  const rows = table.rows.map((row) => new Row(row, table.columns, faults));
  requireOneOfEach(
    rows,
    job.setUps.map(({ name }) => name),
  );
  const readings = rows.flatMap((row) => readReading(row, shop) ?? []);
  faults.requireFaultless();
  return readings;
}

/** Notes an id that stands twice, and a trial whose rows name two set-ups: the pieces of one trial were cut at one. */
export function requireOneOfEach(rows: readonly Row[], setUpNames: readonly string[]): void {
  const ids = new Map<string, Row>();
  const setUps = new Map<string, Row>();
  const known = new Set(setUpNames.map((name) => name.toLowerCase()));
  for (const row of rows) {
    const id = row.get("id");
    const first = ids.get(id);
    if (first === undefined) ids.set(id, row);
    else if (id !== "") {
      const problem = `line ${first.line} has this id already`;
      row.refuse("id", { problem, rule: "each reading has an id of its own" }, freeId(id, ids));
    }
    requireOneSetUp(row, setUps, known);
  }
}

function requireOneSetUp(row: Row, firsts: Map<string, Row>, known: ReadonlySet<string>): void {
  const trial = row.get("trial");
  // A whole cell has pieces of every set-up.
  const ofCell = row.get("bench").toLowerCase() === "cell";
  const setUp = row.get("set-up").toLowerCase();
  if (trial === "" || (ofCell ? setUp !== "" : !known.has(setUp))) return;
  const first = firsts.get(trial);
  if (first === undefined) firsts.set(trial, row);
  else if (first.get("set-up").toLowerCase() !== setUp) {
    const earlier = first.get("set-up");
    const problem = `line ${first.line} has the same trial with ${earlier === "" ? "a whole cell" : `the set-up ${earlier}`}`;
    const rule = "the readings of one trial are of the same pieces, so give this one a trial of its own";
    row.refuse("trial", { problem, rule }, `${trial}-${row.line}`);
  }
}

function freeId(id: string, taken: ReadonlyMap<string, Row>): string {
  for (let next = 2; ; next++) if (!taken.has(`${id}-${next}`)) return `${id}-${next}`;
}
