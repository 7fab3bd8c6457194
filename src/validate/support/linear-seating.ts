import { errorLayout } from "../../cutting/error-layout.js";
import type { Cell } from "../../lattice/cell.js";
import { PRESS_RATIO } from "../../seating/seating-model.js";
import { ownGaps } from "./own-gaps.js";

/** First-order seating as plain matrices: gaps g = free + slopes·q. */
export interface LinearSeating {
  /** Gaps before any piece has moved, mm. */
  readonly free: Float64Array;
  /** d gap / d pose, row-major (probe, coordinate). */
  readonly slopes: Float64Array;
  /** Half the joint's length, mm. */
  readonly weight: Float64Array;
  readonly pressRatio: number;
}

/** What of it does not depend on the errors, and how the free gaps do. */
interface Linearised {
  readonly slopes: Float64Array;
  readonly byError: Float64Array;
  readonly weight: Float64Array;
}

const known = new WeakMap<Cell, Linearised>();

/**
 * A cell's first-order seating under an error vector, from the geometry alone: the slopes are differences of gaps found where lines cross
 * ({@link ownGaps}), the weights half the joints' lengths. Nothing of the project's seating has a part in it.
 */
export function linearSeating(
  cell: Cell,
  errors: Float64Array,
  pressRatio: number = PRESS_RATIO,
): LinearSeating {
  const linearised = known.get(cell) ?? linearise(cell);
  known.set(cell, linearised);
  const { slopes, byError, weight } = linearised;
  const columns = errors.length;
  const free = weight.map((_, i) => errors.reduce((sum, e, c) => sum + byError[i * columns + c]! * e, 0));
  return { free, slopes, weight, pressRatio };
}

function linearise(cell: Cell): Linearised {
  const noErrors = new Float64Array(errorLayout(cell).entries.length);
  const noPose = new Float64Array(3 * cell.pieces.length);
  return {
    slopes: differences((pose) => ownGaps(cell, noErrors, pose), noPose.length),
    byError: differences((errors) => ownGaps(cell, errors, noPose), noErrors.length),
    weight: Float64Array.from(cell.joints.flatMap(({ length }) => [length / 2, length / 2])),
  };
}

/** mm or rad: small beside any face, and rounding (1e-16·opening/step) well below what four points leave out. */
const STEP = 1e-3;

/** Slopes at zero by four points, row-major. */
function differences(f: (x: Float64Array) => number[], columns: number): Float64Array {
  const at = (column: number, value: number): number[] => {
    const x = new Float64Array(columns);
    x[column] = value;
    return f(x);
  };
  const quotient = (column: number, h: number): number[] => {
    const [up, down] = [at(column, h), at(column, -h)];
    return up.map((value, i) => (value - down[i]!) / (2 * h));
  };
  const byColumn = Array.from({ length: columns }, (_, c) => {
    const [near, far] = [quotient(c, STEP), quotient(c, 2 * STEP)];
    return near.map((slope, i) => slope + (slope - far[i]!) / 3);
  });
  return Float64Array.from({ length: byColumn[0]!.length * columns }, (_, k) => {
    return byColumn[k % columns]![Math.floor(k / columns)]!;
  });
}
