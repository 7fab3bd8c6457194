import type { Reading } from "../readings/reading.js";
import { trialsFile } from "./file/find-file.js";
import { readText } from "./file/read-text.js";
import type { Job } from "./job.js";
import { readReading } from "./trials/read-reading.js";
import { readTable } from "./trials/read-table.js";
import { requireOneOfEach } from "./trials/require-one-of-each.js";
import { Row } from "./trials/row.js";
import { TableFaults } from "./trials/table-faults.js";
import { Workshop } from "./trials/workshop.js";

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
