import { type ErrorKind, errorLayout } from "../../cutting/error-layout.js";
import type { Cell } from "../../lattice/cell.js";
import type { RandomStream } from "../../numeric/random-stream.js";
import { DEGREE } from "./cells.js";

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
