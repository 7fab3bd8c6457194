import { slopesOf } from "./energy.js";
import type { GapEvaluation } from "./evaluate-gaps.js";
import type { SeatingModel } from "./seating-model.js";

/**
 * A direction counts as free when what is left of it, after the directions already held are taken out, falls below this share.
 * Rounding leaves about 1e-15; the slackest sound cell (a 10 m opening of 0.1 mm strips) 1e-5.
 */
const FREE = 1e-10;

/**
 * A body that can slide or turn without any pressed probe feeling it, to first order; `null` when all are held.
 * Gram–Schmidt over the gaps' derivatives, the largest remainder first: unlike the pivots of the energy's matrix this does not depend on how the cell is turned.
 */
export function freeBody(model: SeatingModel, { moves }: GapEvaluation): number | null {
  const columns = slopeColumns(model, moves);
  const left = columns.map((column, place) => ({ place, column, length: Math.hypot(...column) }));
  for (const entry of left) {
    if (entry.length === 0) return Math.floor(entry.place / 3);
    entry.column = entry.column.map((x) => x / entry.length);
    entry.length = 1;
  }
  while (left.length > 0) {
    left.sort((a, b) => a.length - b.length);
    const { place, column, length } = left.pop()!;
    if (!(length > FREE)) return Math.floor(place / 3);
    const unit = column.map((x) => x / length);
    for (const entry of left) {
      const share = entry.column.reduce((sum, x, i) => sum + x * unit[i]!, 0);
      entry.column = entry.column.map((x, i) => x - share * unit[i]!);
      entry.length = Math.hypot(...entry.column);
    }
  }
  return null;
}

/** Derivatives of every pressed gap by each coordinate of the poses. */
function slopeColumns(model: SeatingModel, moves: Float64Array): Float64Array[] {
  const probes = model.weight.length;
  const columns = Array.from({ length: 3 * model.bodies }, () => new Float64Array(probes));
  const slopes = new Float64Array(6);
  const place = new Int32Array(6);
  for (let i = 0; i < probes; i++) {
    if (model.weight[i] === 0) continue;
    const used = slopesOf(model, moves, i, slopes, place);
    for (let k = 0; k < used; k++) columns[place[k]!]![i] = slopes[k]!;
  }
  return columns;
}
