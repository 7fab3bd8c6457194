import { at } from "../../core/numeric/dense.js";
import type { CutFace, CutRole } from "../../model/cell/arrangement.js";
import type { Cell, ErrorKind } from "../../model/cell/cell.js";
import { errorLayout, noErrors, rackedGrid, smallOpening } from "../../model/cell/cell-errors.js";
import type { Fence } from "../../model/shop.js";
import { fenceShift } from "../../model/sources.js";

/** Identifies the kind of error of a direction; its display name is made where it is printed. */
export type DirectionId =
  | {
      /** The ramp angle, or the lean, of every cut at one jig angle. */
      readonly kind: "ramp" | "lean";
      /** rad from a square cut. */
      readonly jigAngle: number;
    }
  /** Every cut of one group: an error of their stop, or an offset from the middle of the strip. */
  | { readonly kind: "stop" | "off-centre"; readonly of: string }
  /** The thickness of all strips, on jigs with this kind of fence. */
  | { readonly kind: "stock"; readonly fence: Fence }
  /** One cut by itself. */
  | { readonly kind: "cut"; readonly role: CutRole; readonly measure: "angle" | "length" }
  | { readonly kind: "grid"; readonly of: "wall" | "wall-turned" | "all-walls" | "racking" };

/** A kind of error, expressed as the elementary errors that one rad or one mm of it produces. */
export interface ErrorDirection {
  readonly id: DirectionId;
  /** The unit of its size: `rad` for rotations, `mm` for shifts. */
  readonly unit: "rad" | "mm";
  /** The shop's words for a positive size (`sharp`, `long`, `thick`, …) and for a negative one. */
  readonly plus: string;
  readonly minus: string;
  /** Elementary errors, rad and mm (layout of `errorLayout`), for a size of one rad or mm. */
  readonly errors: Float64Array;
}

type Setter = (kind: ErrorKind, owner: string, face?: CutFace) => number;

/**
 * Every kind of error that a cell can have, one of each: ramps by their angle (and their lean if the cell has a depth), stops by what is cut at them, the stock, points off
 * centre, one cut alone, one wall, all of them, the racked grid (uprights lean one way, level strips the other).
 *
 * @example
 * errorDirections(compileCell(asanohaSquare({ opening: 60, strip: 3 }))).map(({ unit }) => unit).includes("rad") // true
 */
export function errorDirections(cell: Cell): ErrorDirection[] {
  const { indexOf } = errorLayout(cell);
  const cuts = cell.pieces.flatMap((piece) => piece.cuts.map((cut) => ({ piece: piece.name, cut })));
  const made = (
    words: Omit<ErrorDirection, "errors">,
    fill: (set: (value: number, ...at: Parameters<Setter>) => void) => void,
  ): ErrorDirection => {
    const errors = noErrors(cell);
    fill((value, ...at) => {
      errors[indexOf(...at)]! += value;
    });
    return { ...words, errors };
  };
  const ramps = distinct(cuts.map(({ cut }) => cut.jigAngle)).map((jigAngle) => {
    const alike = cuts.filter(({ cut }) => cut.jigAngle === jigAngle);
    return made({ id: { kind: "ramp", jigAngle }, ...TURNS }, (set) => {
      for (const { piece, cut } of alike) set(1, "angle", piece, cut.face);
    });
  });
  const leans = distinct(cell.depth === undefined ? [] : cuts.map(({ cut }) => cut.jigAngle)).map(
    (jigAngle) => {
      const alike = cuts.filter(({ cut }) => cut.jigAngle === jigAngle);
      const words = { unit: "rad", plus: "outward at the front", minus: "outward at the back" } as const;
      return made({ id: { kind: "lean", jigAngle }, ...words }, (set) => {
        for (const { piece, cut } of alike) set(1, "lean", piece, cut.face);
      });
    },
  );
  const stops = distinct(cuts.filter(({ cut }) => cut.end === 1).map(({ cut }) => cut.group)).map((group) =>
    made({ id: { kind: "stop", of: group }, ...SHIFTS }, (set) => {
      for (const { piece, cut } of cuts) if (cut.group === group) set(1, "axial", piece, cut.face);
    }),
  );
  const thick = (fence: Fence): ErrorDirection =>
    made({ id: { kind: "stock", fence }, unit: "mm", plus: "thick", minus: "thin" }, (set) => {
      for (const { name: piece } of cell.pieces) set(1, "thickness", piece);
      for (const { piece, cut } of cuts) set(fenceShift(fence, cut.jigAngle), "axial", piece, cut.face);
    });
  const points = distinct(cuts.filter(({ cut }) => cut.role === "point").map(({ cut }) => cut.group));
  const offCentre = points.map((group) =>
    made({ id: { kind: "off-centre", of: group }, unit: "mm", plus: "left", minus: "right" }, (set) => {
      for (const { piece, cut } of cuts) if (cut.group === group) set(cut.side, "axial", piece, cut.face);
    }),
  );
  const one = cuts.find(({ cut }) => cut.role === "mitre") ?? at(cuts, 0);
  const alone = [
    made({ id: { kind: "cut", role: one.cut.role, measure: "angle" }, ...TURNS }, (set) =>
      set(1, "angle", one.piece, one.cut.face),
    ),
    made({ id: { kind: "cut", role: one.cut.role, measure: "length" }, ...SHIFTS }, (set) =>
      set(1, "axial", one.piece, one.cut.face),
    ),
  ];
  return [
    ...ramps,
    ...leans,
    ...stops,
    thick("centred"),
    thick("long-side"),
    ...offCentre,
    ...alone,
    ...wallDirections(cell, made),
  ];
}

const TURNS = { unit: "rad", plus: "sharp", minus: "blunt" } as const;
const SHIFTS = { unit: "mm", plus: "long", minus: "short" } as const;

function wallDirections(
  cell: Cell,
  made: (
    words: Omit<ErrorDirection, "errors">,
    fill: (set: (value: number, ...at: Parameters<Setter>) => void) => void,
  ) => ErrorDirection,
): ErrorDirection[] {
  const [wall] = cell.walls;
  if (!wall) return [];
  return [
    made({ id: { kind: "grid", of: "wall" }, unit: "mm", plus: "inward", minus: "outward" }, (set) =>
      set(1, "offset", wall.name),
    ),
    made(
      { id: { kind: "grid", of: "wall-turned" }, unit: "rad", plus: "to the left", minus: "to the right" },
      (set) => set(1, "turn", wall.name),
    ),
    {
      id: { kind: "grid", of: "all-walls" },
      unit: "mm",
      plus: "inward",
      minus: "outward",
      errors: smallOpening(cell),
    },
    {
      id: { kind: "grid", of: "racking" },
      unit: "rad",
      plus: "to the left",
      minus: "to the right",
      errors: rackedGrid(cell),
    },
  ];
}

const distinct = <T>(list: readonly T[]): T[] => [...new Set(list)];
