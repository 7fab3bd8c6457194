import { isUserError } from "../../core/errors.js";
import { readingLoss } from "../../inference/likelihood/reading-likelihood.js";
import type { Cell } from "../../model/cell/cell.js";
import type { Job } from "../../model/job/job.js";
import { fitLengths } from "../../physics/fitting/fit-lengths.js";
import { createSeater, type CellSeater as KernelSeater } from "../../physics/kernel/fitted-kernel.js";
import { type CellModel, cellModel } from "../../physics/predict/cell-model.js";
import { type EquilibriumOptions, solveEquilibrium } from "../../physics/predict/equilibrium.js";
import type { CellRead } from "./causes.js";

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
  const { snug, ...order } = orderAndFitting(job);
  const key = [order.order, order.pressRatio, snug ?? "as cut"].join(" ");
  const seater = known.get(key) ?? newSeater(cellModel(cell), job);
  known.set(key, seater);
  return seater;
}

/** Pieces that are too short to be fitted stay as the stops have cut them. */
const AS_THEY_START = { startsLong: false };

function orderAndFitting({
  order,
  pressRatio,
  lengths,
  limits,
}: Making): EquilibriumOptions & { readonly snug?: number } {
  return { order, pressRatio, ...(lengths === "fitted" && { snug: limits.snug }) };
}

function newSeater(model: CellModel, job: Making): CellSeater {
  const { snug, ...order } = orderAndFitting(job);
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
        if (!together(kernel, batch, rows)) oneByOne(model, batch, rows, orderAndFitting(job));
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
  { snug, ...order }: EquilibriumOptions & { readonly snug?: number },
): void {
  const probes = model.readProbes;
  const finished = (errors: Float64Array): Float64Array =>
    snug === undefined ? errors : fitLengths(model, errors, { ...order, ...AS_THEY_START, snug }).errors;
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
  let widest = gaps[row + probes[0]!]!;
  for (let k = 1; k < probes.length; k++) widest = Math.max(widest, gaps[row + probes[k]!]!);
  return widest;
}

/** Readings that something goes into come first: they rule out most. */
function telling({ readings }: CellRead): number[] {
  const open = ({ value, low }: CellRead["readings"][number]): number => Math.max(-1, value ?? low!);
  return [...readings.keys()].sort((a, b) => open(readings[b]!) - open(readings[a]!));
}

const orders = new WeakMap<CellRead, number[]>();

/** Log likelihood of one cell's readings when its gaps are those from `row` on; −∞ when it is next to nothing, or there is no rest. */
export function logLikelihood(cell: CellRead, gaps: Float64Array, row: number): number {
  let order = orders.get(cell);
  if (!order) {
    order = telling(cell);
    orders.set(cell, order);
  }
  let sum = 0;
  for (const i of order) {
    const gap = widestOf(cell.probes[i]!, gaps, row) + cell.shift[i]!;
    if (Number.isNaN(gap)) return Number.NEGATIVE_INFINITY;
    sum -= readingLoss(cell.readings[i]!, gap, cell.noise[i]!).value;
    if (!(sum > IMPOSSIBLE)) return Number.NEGATIVE_INFINITY;
  }
  return sum;
}
