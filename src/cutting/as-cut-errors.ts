import type { CutFace } from "../lattice/arrangement.js";
import type { Cell } from "../lattice/cell.js";
import { errorLayout, noErrors } from "./error-layout.js";

/** The errors of a cell piece by piece, as they were cut: rad and mm, what is absent is 0. `thickness` moves a piece's sides only. */
export interface AsCut {
  readonly pieces?: Readonly<
    Record<
      string,
      {
        readonly thickness?: number;
        readonly cuts?: Readonly<
          Partial<
            Record<CutFace, { readonly angle?: number; readonly axial?: number; readonly lean?: number }>
          >
        >;
      }
    >
  >;
  readonly walls?: Readonly<Record<string, { readonly turn?: number; readonly offset?: number }>>;
}

/**
 * The error vector of a cell from its as-cut errors, rad and mm.
 *
 * @throws RangeError for a piece, cut or wall that the cell does not have, or a lean in a cell without a depth.
 */
export function asCutErrors(cell: Cell, asCut: AsCut): Float64Array {
  const layout = errorLayout(cell);
  const errors = noErrors(cell);
  for (const [piece, { thickness = 0, cuts = {} }] of Object.entries(asCut.pieces ?? {})) {
    errors[layout.indexOf("thickness", piece)] = thickness;
    for (const [face, { angle = 0, axial = 0, lean = 0 }] of Object.entries(cuts)) {
      errors[layout.indexOf("angle", piece, face as CutFace)] = angle;
      errors[layout.indexOf("axial", piece, face as CutFace)] = axial;
      if (lean !== 0) errors[layout.indexOf("lean", piece, face as CutFace)] = lean;
    }
  }
  for (const [wall, { turn = 0, offset = 0 }] of Object.entries(asCut.walls ?? {})) {
    errors[layout.indexOf("turn", wall)] = turn;
    errors[layout.indexOf("offset", wall)] = offset;
  }
  return errors;
}
