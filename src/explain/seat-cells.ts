import type { Job } from "../job/job.js";
import { createSeater, type CellSeater as KernelSeater } from "../kernel/fitted/create-seater.js";
import type { Cell } from "../lattice/cell.js";
import { type CellModel, cellModel } from "../predict/cell-model.js";
import { fitLengths } from "../predict/fitting/fit-lengths.js";
import { PredictError } from "../predict/require-meeting.js";
import { type SettleOptions, settle } from "../predict/settle.js";
import { SeatingError } from "../seating/seating-model.js";

/** Seats many cells cut with given errors, in the job's order: as cut, or with their pieces fitted by trial as the job says. */
export interface CellSeater {
  /** Gaps at the read probes of each cell, row-major (cell, probe), mm; NaN throughout a cell whose pieces find no rest. */
  seat(errors: readonly Float64Array[]): Float64Array;
  readonly probes: number;
}

/** What says how a job's cells are made. */
type Making = Pick<Job, "order" | "pressRatio" | "lengths" | "limits">;

const seaters = new WeakMap<Cell, Map<string, CellSeater>>();

/** The seater of a cell; made once for it. */
export function cellSeater(cell: Cell, job: Making): CellSeater {
  const known = seaters.get(cell) ?? new Map<string, CellSeater>();
  seaters.set(cell, known);
  const { snug, ...order } = settling(job);
  const key = [order.order, order.pressRatio, snug ?? "as cut"].join(" ");
  const seater = known.get(key) ?? newSeater(cellModel(cell), job);
  known.set(key, seater);
  return seater;
}

/** Pieces that are too short to be fitted stay as the stops have cut them. */
const AS_THEY_START = { startsLong: false };

function settling({
  order,
  pressRatio,
  lengths,
  limits,
}: Making): SettleOptions & { readonly snug?: number } {
  return { order, pressRatio, ...(lengths === "fitted" && { snug: limits.snug }) };
}

function newSeater(model: CellModel, job: Making): CellSeater {
  const { snug, ...order } = settling(job);
  const fitting = snug === undefined ? {} : { fitting: { ...AS_THEY_START, snug } };
  const kernel = createSeater(model, { ...order, ...fitting });
  const probes = model.readProbes;
  return {
    probes,
    seat(errors) {
      const out = new Float64Array(errors.length * probes);
      for (let from = 0; from < errors.length; from += kernel.batchTrials) {
        const batch = errors.slice(from, from + kernel.batchTrials);
        const rows = out.subarray(from * probes);
        if (!together(kernel, batch, rows)) oneByOne(model, batch, rows, settling(job));
      }
      return out;
    },
  };
}

function together(kernel: KernelSeater, batch: readonly Float64Array[], rows: Float64Array): boolean {
  const probes = kernel.model.readProbes;
  for (const [i, errors] of batch.entries()) kernel.drawsOf(i).set(errors);
  try {
    kernel.seat(batch.length);
  } catch (error) {
    if (isNoRest(error)) return false;
    throw error;
  }
  for (let i = 0; i < batch.length; i++) {
    for (let p = 0; p < probes; p++) rows[i * probes + p] = kernel.gap(i, p);
  }
  return true;
}

/** Errors so wild that the pieces find no rest: the others of their batch are seated by themselves. */
function oneByOne(
  model: CellModel,
  batch: readonly Float64Array[],
  rows: Float64Array,
  { snug, ...order }: SettleOptions & { readonly snug?: number },
): void {
  const probes = model.readProbes;
  const finished = (errors: Float64Array): Float64Array =>
    snug === undefined ? errors : fitLengths(model, errors, { ...order, ...AS_THEY_START, snug }).errors;
  for (const [i, errors] of batch.entries()) {
    const row = rows.subarray(i * probes, (i + 1) * probes);
    try {
      row.set(settle(model, finished(errors), order).rest.gap.subarray(0, probes));
    } catch (error) {
      if (!isNoRest(error)) throw error;
      row.fill(Number.NaN);
    }
  }
}

const isNoRest = (error: unknown): boolean => error instanceof SeatingError || error instanceof PredictError;
