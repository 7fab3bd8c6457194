import { CliError } from "../../core/errors.js";
import { loadJob } from "../../io/job/load-job.js";
import { type BatchTable, loadBatchTable } from "./batch-table.js";
import { batchJson, batchText, type NamedWatch } from "./batch-text.js";
import { goNoGoSizes } from "./go-no-go.js";
import { watchBatch } from "./watch-batch.js";

export interface BatchFlags {
  readonly json?: boolean;
  /** A job whose limits give go and no-go sizes. */
  readonly job?: string;
  /** mm. */
  readonly target?: number;
  readonly deviation?: number;
}

/** `sukima batch FILE`: whether the lengths or gaps of a batch stay where they were. */
export function batchCommand(file: string, { json, job, target, deviation }: BatchFlags): string {
  const table = loadBatchTable(file);
  const watches = batchWatches(table, target, deviation);
  const loaded = job === undefined ? null : loadJob(job);
  const sizes = loaded && goNoGoSizes(loaded);
  if (json) return JSON.stringify(batchJson(watches, sizes), null, 1);
  return batchText(watches, sizes, loaded?.units ?? table.units);
}

/** A watch over each kind of piece in a table of a batch. */
export function batchWatches(table: BatchTable, target?: number, deviation?: number): NamedWatch[] {
  const pieces = [...new Set(table.rows.map(({ piece }) => piece))];
  return pieces.map((piece) => watched(table, piece, target, deviation));
}

function watched(
  { rows, what, units }: BatchTable,
  piece: string,
  target: number | undefined,
  deviation: number | undefined,
): NamedWatch {
  const own = rows.filter((row) => row.piece === piece);
  const values = own.map(({ value }) => value);
  const of = piece === "" ? "" : ` of ${piece}`;
  if (values.length < 2)
    throw new CliError(
      `There must be two pieces${of} at least to see how they differ; the table has ${values.length}.`,
    );
  if (deviation === undefined && values.every((value) => value === values[0]))
    throw new CliError(
      `All pieces${of} read the same, so that nothing tells how they scatter; read them finer, or give --deviation in mm.`,
    );
  const watch = watchBatch(values, {
    ...(target === undefined ? {} : { target }),
    ...(deviation === undefined ? {} : { standardDeviation: deviation }),
  });
  return { piece, what, units, ids: own.map(({ id }) => id), watch };
}
