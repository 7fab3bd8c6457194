import type { CutFace } from "../lattice/arrangement.js";
import type { Cell } from "../lattice/cell.js";

/** Largest angle error or lean of a cut, or turn of a wall, that a prediction accepts, rad (10°). */
export const LARGEST_ANGLE_ERROR = Math.PI / 18;

/** What an elementary error does: `angle` δ (rad) and `axial` e (mm) of one cut, `lean` λ (rad) of one cut in a cell with a depth, `thickness` dt (mm) of one piece, `turn` (rad) and `offset` (mm) of one wall. */
export type ErrorKind = "thickness" | "angle" | "axial" | "lean" | "turn" | "offset";

/** One thing that may be off in a cell, and on which piece, cut or wall. */
export interface ElementaryError {
  readonly kind: ErrorKind;
  /** The piece or the wall. */
  readonly owner: string;
  /** The cut, for `angle`, `axial` and `lean`. */
  readonly face?: CutFace;
}

/**
 * The elementary errors of a cell in a fixed order: for each piece its thickness and each cut's angle and axial error (and its lean where the cell has a depth), then each wall's turn and offset.
 * An error vector holds one number for each, in rad or mm; signs as the project's model has them: sharper, longer, outward at the front, thicker, further into the opening, counter-clockwise.
 */
export interface ErrorLayout {
  readonly entries: readonly ElementaryError[];
  /**
   * Index of an error in the vector, from 0.
   *
   * @throws RangeError for one that the cell does not have
   */
  indexOf(kind: ErrorKind, owner: string, face?: CutFace): number;
}

const keyOf = (kind: ErrorKind, owner: string, face?: CutFace): string =>
  face === undefined ? `${owner} ${kind}` : `${owner}.${face} ${kind}`;

const layouts = new WeakMap<Cell, ErrorLayout>();

/** The layout of a cell's error vector; the same object each time it is asked for. */
export function errorLayout(cell: Cell): ErrorLayout {
  const known = layouts.get(cell);
  if (known) return known;
  const entries: ElementaryError[] = [
    ...cell.pieces.flatMap(({ name, cuts }) => [
      { kind: "thickness", owner: name } as const,
      ...cuts.flatMap(({ face }) => [
        { kind: "angle", owner: name, face } as const,
        { kind: "axial", owner: name, face } as const,
        ...(cell.depth === undefined ? [] : [{ kind: "lean", owner: name, face } as const]),
      ]),
    ]),
    ...cell.walls.flatMap(({ name }) => [
      { kind: "turn", owner: name } as const,
      { kind: "offset", owner: name } as const,
    ]),
  ];
  const index = new Map(entries.map((entry, i) => [keyOf(entry.kind, entry.owner, entry.face), i]));
  const layout: ErrorLayout = {
    entries,
    indexOf(kind, owner, face) {
      const found = index.get(keyOf(kind, owner, face));
      if (found === undefined)
        throw new RangeError(`No error "${keyOf(kind, owner, face)}" in ${cell.name}.`);
      return found;
    },
  };
  layouts.set(cell, layout);
  return layout;
}

/** An error vector of a cell with nothing wrong: zeros, in rad and mm as {@link errorLayout} has them. */
export const noErrors = (cell: Cell): Float64Array => new Float64Array(errorLayout(cell).entries.length);
