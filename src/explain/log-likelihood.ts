import { readingLoss } from "../readings/reading-loss.js";
import type { CellRead } from "./cells-read.js";

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
