import type { RandomStream } from "../../../src/core/numeric/random-stream.js";
import { type AsanohaSquareOptions, asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import type { Cell, ErrorKind, Order } from "../../../src/model/cell/cell.js";
import { errorLayout } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import type { EquilibriumOptions } from "../../../src/physics/predict/equilibrium.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";

export const DEGREE = Math.PI / 180;

/** The square cell with every joint read at the front and at the back; cuts may lean. */
export const deepSquare = (opening: number, strip: number, depth: number): Cell =>
  compileCell({ ...asanohaSquare({ opening, strip }), depth });

export const squareCell = (opening: number, strip: number, more: Partial<AsanohaSquareOptions> = {}): Cell =>
  compileCell(asanohaSquare({ opening, strip, ...more }));

/** Openings and strips (mm) from small and stout to large and slender. */
export const SIZES: readonly (readonly [opening: number, strip: number])[] = [
  [20, 2],
  [48, 4],
  [60, 3],
  [60, 3.175],
  [120, 6],
  [300, 3],
];

export const ORDERS: readonly Order[] = ["first", "exact"];

/** Gaps at rest by `joint toe` and `joint heel`, mm. */
export function jointGaps(
  cell: Cell,
  errors: Float64Array,
  options: EquilibriumOptions = {},
  nameOf: (joint: string) => string = (joint) => joint,
): Map<string, number> {
  const { probes } = predictCell(cell, errors, options);
  return new Map(probes.map(({ joint, at, gap }) => [`${nameOf(joint)} ${at}`, gap]));
}

/** Largest difference between two sets of gaps, mm; infinite when they are not of the same places. */
export function largestDifference(
  a: ReadonlyMap<string, number>,
  b: ReadonlyMap<string, number>,
  factor = 1,
): number {
  if (a.size !== b.size) return Number.POSITIVE_INFINITY;
  return [...a].reduce(
    (most, [place, gap]) =>
      Math.max(most, Math.abs(factor * gap - (b.get(place) ?? Number.POSITIVE_INFINITY))),
    0,
  );
}

/** Standard deviations: degrees for every angle and turn, mm for everything else. */
export interface Spread {
  readonly degrees: number;
  readonly mm: number;
}

export const ORDINARY: Spread = { degrees: 0.25, mm: 0.025 };
export const LARGE: Spread = { degrees: 1, mm: 0.1 };

const ANGULAR: ReadonlySet<ErrorKind> = new Set(["angle", "lean", "turn"]);

/** An independent normal error for every cut, piece and wall of a cell. */
export function randomErrors(cell: Cell, stream: RandomStream, { degrees, mm }: Spread): Float64Array {
  return Float64Array.from(
    errorLayout(cell).entries,
    ({ kind }) => stream.normal() * (ANGULAR.has(kind) ? degrees * DEGREE : mm),
  );
}

/** Errors shared by all cuts of a group, all pieces of a kind, and no error of the walls: mirror-image pieces are wrong alike. About a third of the groups err. */
export function sharedErrors(cell: Cell, stream: RandomStream, { degrees, mm }: Spread): Float64Array {
  const drawn = new Map<string, number>();
  return Float64Array.from(errorLayout(cell).entries, ({ kind, owner, face }) => {
    const piece = cell.pieces.find(({ name }) => name === owner);
    if (!piece) return 0;
    const group = piece.cuts.find((cut) => cut.face === face)?.group ?? piece.kind;
    const key = `${group} ${kind}`;
    if (!drawn.has(key)) drawn.set(key, stream.uniform() < 1 / 3 ? stream.normal() : 0);
    return drawn.get(key)! * (ANGULAR.has(kind) ? degrees * DEGREE : mm);
  });
}
