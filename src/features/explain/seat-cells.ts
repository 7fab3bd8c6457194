import { isUserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import type { CellMaking, CellReader } from "../../inference/likelihood/read-specimen.js";
import { readingLoss } from "../../inference/likelihood/reading-likelihood.js";
import type { Job } from "../../model/job/job.js";
import { fitLengths } from "../../physics/fitting/fit-lengths.js";
import type { CellSeater as KernelSeater } from "../../physics/kernel/fitted-kernel.js";
import { solveEquilibrium } from "../../physics/predict/equilibrium.js";
import type { CellRead } from "./causes.js";

/** Seats many cells cut with given errors, in the job's order: as cut, or with their pieces fitted by trial as the job says. */
export interface GapSeater {
  /** Gaps at the read probes of each cell, row-major (cell, probe), mm; NaN throughout a cell whose pieces find no rest. */
  seat(errors: readonly Float64Array[]): Float64Array;
  readonly probes: number;
}

/** What says how a job's cells are made. */
type Making = Pick<Job, "order" | "pressRatio" | "lengths" | "limits">;

/** The seater of a cell. */
export function cellSeater(reader: CellReader, { order, pressRatio, lengths, limits }: Making): GapSeater {
  const making: CellMaking = { order, pressRatio, ...(lengths === "fitted" && { snug: limits.snug }) };
  const probes = reader.model.readProbes;
  return {
    probes,
    seat(errors) {
      const kernel = reader.seater(making);
      const out = new Float64Array(errors.length * probes);
      for (let from = 0; from < errors.length; from += kernel.batchTrials) {
        const batch = errors.slice(from, from + kernel.batchTrials);
        const rows = out.subarray(from * probes);
        if (!together(kernel, batch, rows)) oneByOne(reader, batch, rows, making);
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
  reader: CellReader,
  batch: readonly Float64Array[],
  rows: Float64Array,
  { snug, ...order }: CellMaking,
): void {
  const { model } = reader;
  const probes = model.readProbes;
  const finished = (errors: Float64Array): Float64Array =>
    snug === undefined
      ? errors
      : fitLengths(model, errors, { ...order, startsLong: false, snug }, reader.fittingPlan).errors;
  for (const [i, errors] of batch.entries()) {
    const row = rows.subarray(i * probes, (i + 1) * probes);
    try {
      row.set(solveEquilibrium(model, finished(errors), order).rest.gap.subarray(0, probes));
    } catch (error) {
      if (!isNoRest(error)) throw error;
      row.fill(Number.NaN);
    }
  }
}

const isNoRest = (error: unknown): boolean => isUserError(error, "seating", "cutting-error");

/** Less likely than e to this power counts as impossible. */
const IMPOSSIBLE = -700;

/** The gap that a reading is of: the widest of the probes it may mean. */
export function widestOf(probes: readonly number[], gaps: Float64Array, row = 0): number {
  let widest = at(gaps, row + at(probes, 0));
  for (let k = 1; k < probes.length; k++) widest = Math.max(widest, at(gaps, row + at(probes, k)));
  return widest;
}

/** Log likelihood of one cell's readings when its gaps are those from `row` on; −∞ when it is next to nothing, or there is no rest. */
export function logLikelihood(cell: CellRead, gaps: Float64Array, row: number): number {
  let sum = 0;
  for (const i of cell.order) {
    const gap = widestOf(at(cell.probes, i), gaps, row) + at(cell.bias, i);
    if (Number.isNaN(gap)) return Number.NEGATIVE_INFINITY;
    sum -= readingLoss(at(cell.readings, i), gap, at(cell.noise, i)).value;
    if (!(sum > IMPOSSIBLE)) return Number.NEGATIVE_INFINITY;
  }
  return sum;
}
