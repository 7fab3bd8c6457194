import type { Job } from "../job/job.js";
import { createKernel, type SeatingKernel } from "../kernel/create-kernel.js";
import type { Cell } from "../lattice/cell.js";
import { type CellModel, cellModel } from "../predict/cell-model.js";
import { settle } from "../predict/settle.js";

/** Seats many cells with given errors, in the job's order. */
export interface CellSeater {
  /** Gaps at the read probes of each cell, row-major (cell, probe), mm; NaN throughout a cell whose pieces find no rest. */
  seat(errors: readonly Float64Array[]): Float64Array;
  readonly probes: number;
}

const seaters = new WeakMap<Cell, Map<string, CellSeater>>();

/** The seater of a cell; made once for it. */
export function cellSeater(cell: Cell, job: Pick<Job, "order" | "pressRatio">): CellSeater {
  const known = seaters.get(cell) ?? new Map<string, CellSeater>();
  seaters.set(cell, known);
  const key = `${job.order} ${job.pressRatio}`;
  const seater = known.get(key) ?? newSeater(cellModel(cell), job);
  known.set(key, seater);
  return seater;
}

function newSeater(model: CellModel, { order, pressRatio }: Pick<Job, "order" | "pressRatio">): CellSeater {
  const kernel = createKernel(model, { order, pressRatio });
  const probes = model.readProbes;
  return {
    probes,
    seat(errors) {
      const out = new Float64Array(errors.length * probes);
      for (let from = 0; from < errors.length; from += kernel.batchTrials) {
        const batch = errors.slice(from, from + kernel.batchTrials);
        const rows = out.subarray(from * probes);
        if (!together(kernel, batch, rows)) oneByOne(model, batch, rows, { order, pressRatio });
      }
      return out;
    },
  };
}

function together(kernel: SeatingKernel, batch: readonly Float64Array[], rows: Float64Array): boolean {
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
  options: Pick<Job, "order" | "pressRatio">,
): void {
  const probes = model.readProbes;
  for (const [i, errors] of batch.entries()) {
    const row = rows.subarray(i * probes, (i + 1) * probes);
    try {
      row.set(settle(model, errors, options).rest.gap.subarray(0, probes));
    } catch (error) {
      if (!isNoRest(error)) throw error;
      row.fill(Number.NaN);
    }
  }
}

const isNoRest = (error: unknown): boolean => error instanceof Error && error.name === "SeatingError";
