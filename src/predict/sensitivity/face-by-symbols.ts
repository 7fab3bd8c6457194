import { derivative, type EvalFunction, parse } from "mathjs";

/** What moves a face, and by how much when nothing is wrong yet: all zero. */
export const FACE_VARIABLES = ["delta", "e", "x", "y", "theta"] as const;
export type FaceVariable = (typeof FACE_VARIABLES)[number];

/**
 * How far a face stands outside its nominal place at the probe (px, py), read along the direction (nx, ny); mm. The face starts from the
 * origin (ox, oy) with its normal at `alpha`; the piece is displaced by x, y and turned by theta.
 *
 * A cut: its jig turned by delta, which turns its normal by k·delta, k = end·side; its reach a grown by e.
 */
export const CUT_MOVE =
  "((a + e) * cos(J + delta) - cos(alpha + k*delta + theta)*(px - ox - x) - sin(alpha + k*delta + theta)*(py - oy - y))" +
  " / (cos(alpha + k*delta + theta)*nx + sin(alpha + k*delta + theta)*ny)";

/** A side, e its part of the thickness that is too much; or a wall, turned by delta and shifted by e: c is its nominal offset. */
export const STRAIGHT_MOVE =
  "(c + e - cos(alpha + k*delta + theta)*(px - ox - x) - sin(alpha + k*delta + theta)*(py - oy - y))" +
  " / (cos(alpha + k*delta + theta)*nx + sin(alpha + k*delta + theta)*ny)";

/** The face at hand: numbers for the letters of the formulas. */
export type FaceFigures = Readonly<Record<"alpha" | "ox" | "oy" | "px" | "py" | "nx" | "ny" | "k", number>> &
  ({ readonly a: number; readonly J: number } | { readonly c: number });

type Slopes = Readonly<Record<FaceVariable, EvalFunction>>;

const differentiated = (formula: string): Slopes => {
  const node = parse(formula);
  return Object.fromEntries(FACE_VARIABLES.map((name) => [name, derivative(node, name).compile()])) as Slopes;
};

let slopes: { readonly cut: Slopes; readonly straight: Slopes } | undefined;

/** Derivatives of a face's move at nominal, from the formula by rule: mm per rad of a turn, mm per mm of a length. */
export function faceMoveSlopes(figures: FaceFigures): Record<FaceVariable, number> {
  slopes ??= { cut: differentiated(CUT_MOVE), straight: differentiated(STRAIGHT_MOVE) };
  const of = "J" in figures ? slopes.cut : slopes.straight;
  const scope = { ...figures, delta: 0, e: 0, x: 0, y: 0, theta: 0 };
  return Object.fromEntries(FACE_VARIABLES.map((name) => [name, Number(of[name].evaluate(scope))])) as Record<
    FaceVariable,
    number
  >;
}
