import type { Arrangement, CutFace } from "./arrangement.js";
import type { Cell, ElementaryError, ErrorKind, Face, FaceErrors } from "./cell.js";
import { faceName } from "./face-id.js";

/** Largest angle error or lean of a cut, or turn of a wall, that a prediction accepts, rad (10°). */
export const LARGEST_ANGLE_ERROR = Math.PI / 18;

/**
 * The elementary errors of a cell in a fixed order: for each piece its thickness and each cut's angle and axial error (and its lean where the cell has a depth), then each wall's turn and offset.
 * An error vector holds one number for each, in rad or mm; positive means a sharper cut, a longer piece, outward at the front, thicker, further into the opening, counter-clockwise.
 */
export interface ErrorLayout {
  readonly entries: readonly ElementaryError[];
  /**
   * Index of an error in the vector, from 0.
   *
   * @throws RangeError when the cell does not have that error
   */
  indexOf(kind: ErrorKind, owner: string, face?: CutFace): number;
}

const errorKey = (kind: ErrorKind, owner: string, face?: CutFace): string =>
  `${faceName({ owner, face })} ${kind}`;

/**
 * The layout of a cell's error vector.
 *
 * @example
 * const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
 * const errors = noErrors(cell);
 * errors[errorLayout(cell).indexOf("thickness", "diagonal")] = -0.1; // 0.1 mm thin
 * predictCell(cell, errors).widestGap // 0.02491
 */
export function errorLayout({ name, errorEntries, errorPlaces }: Cell): ErrorLayout {
  return {
    entries: errorEntries,
    indexOf(kind, owner, face) {
      const found = errorPlaces.get(errorKey(kind, owner, face));
      if (found === undefined) throw new RangeError(`No error "${errorKey(kind, owner, face)}" in ${name}.`);
      return found;
    },
  };
}

/** The elementary errors of a compiled cell: their order, the index of each, and the errors that move each face. */
export function errorsOfFaces(
  { pieces, walls, depth }: Pick<Arrangement, "pieces" | "walls" | "depth">,
  faces: readonly Face[],
): Pick<Cell, "errorEntries" | "errorPlaces" | "faceErrors"> {
  const errorEntries: ElementaryError[] = [
    ...pieces.flatMap(({ name, cuts }) => [
      { kind: "thickness", owner: name } as const,
      ...cuts.flatMap(({ face }) => [
        { kind: "angle", owner: name, face } as const,
        { kind: "axial", owner: name, face } as const,
        ...(depth === undefined ? [] : [{ kind: "lean", owner: name, face } as const]),
      ]),
    ]),
    ...walls.flatMap(({ name }) => [
      { kind: "turn", owner: name } as const,
      { kind: "offset", owner: name } as const,
    ]),
  ];
  const errorPlaces = new Map(
    errorEntries.map(({ kind, owner, face }, place) => [errorKey(kind, owner, face), place]),
  );
  const at = (...error: Parameters<typeof errorKey>): number => errorPlaces.get(errorKey(...error)) ?? -1;
  const faceErrors = faces.map(({ kind, name, body, cut }): FaceErrors => {
    if (kind === "wall") return { turn: at("turn", name), shift: at("offset", name), lean: -1 };
    const owner = pieces[body]?.name;
    if (kind === "pin" || owner === undefined) return { turn: -1, shift: -1, lean: -1 };
    if (!cut) return { turn: at("thickness", owner), shift: at("thickness", owner), lean: -1 };
    return {
      turn: at("angle", owner, cut.face),
      shift: at("axial", owner, cut.face),
      lean: at("lean", owner, cut.face),
    };
  });
  return { errorEntries, errorPlaces, faceErrors };
}

/**
 * The error vector of a perfect cell: all zeros, in the layout of {@link errorLayout} (rad and mm).
 *
 * @example
 * const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
 * predictCell(cell, noErrors(cell)).widestGap < 1e-9 // true
 */
export const noErrors = (cell: Cell): Float64Array => new Float64Array(errorLayout(cell).entries.length);

/** The as-cut errors of a cell, piece by piece, in rad and mm; a missing error is 0. `thickness` moves only a piece's sides. */
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
 * @example
 * const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
 * const errors = asCutErrors(cell, { pieces: { diagonal: { thickness: -0.1 } } });
 * predictCell(cell, errors).widestGap // 0.02491
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

/** The names of a cell's walls begin with this; a bench's references have other names. */
const GRID_WALL = "wall-";

/** Change of each elementary error when the grid racks by 1 rad: upright strips turn counter-clockwise about their middles, level ones clockwise. All zeros on a bench, or where strips do not cross at right angles. */
export const rackedGrid = (cell: Cell): Float64Array =>
  canRack(cell)
    ? onWalls(cell, "turn", (normal) => (Math.abs(Math.cos(normal)) > 0.5 ? 1 : -1))
    : noErrors(cell);

/** Whether a grid can rack: its strips cross at right angles. A three-way grid cannot. */
export const canRack = ({ walls }: Pick<Arrangement, "walls">): boolean =>
  walls.every(({ normal }) => Math.abs(Math.sin(2 * normal)) < 1e-9);

/** Change of each elementary error when every wall moves 1 mm into the opening. All zeros on a bench. */
export const smallOpening = (cell: Cell): Float64Array => onWalls(cell, "offset", () => 1);

/** Change of each elementary error when the clear side of the opening gets 1 mm smaller because all walls move inwards by the same amount. All zeros on a bench. */
export const smallerSide = (cell: Cell): Float64Array =>
  smallOpening(cell).map((offset) => offset / sideByOffset(cell));

/**
 * How much smaller the clear side of an opening gets when every wall moves 1 mm inwards, averaged over its sides: tan(ε/2) at each end of a side, where ε is the
 * angle between the normals there. It is 2 for a rectangle and 2·√3 for an equilateral triangle.
 */
export function sideByOffset({ walls }: Pick<Arrangement, "walls">): number {
  const normals = walls.map(({ normal }) => normal).sort((a, b) => a - b);
  const ends = normals.map((normal, i) => {
    const next = normals[i + 1] ?? (normals[0] ?? 0) + 2 * Math.PI;
    return Math.tan((next - normal) / 2);
  });
  return (2 * ends.reduce((sum, end) => sum + end, 0)) / walls.length;
}

function onWalls(cell: Cell, kind: "turn" | "offset", size: (normal: number) => number): Float64Array {
  const direction = noErrors(cell);
  const { indexOf } = errorLayout(cell);
  for (const { name, normal } of cell.walls) {
    if (name.startsWith(GRID_WALL)) direction[indexOf(kind, name)] = size(normal);
  }
  return direction;
}
