import { createRequire } from "node:module";
import type { EvalFunction, Matrix } from "mathjs";
import { direction } from "../../core/geometry.js";
import { at } from "../../core/numeric/dense.js";
import { type Cell, type Face, readDepths } from "../../model/cell/cell.js";
import { errorLayout } from "../../model/cell/cell-errors.js";
import { PRESS_RATIO } from "../seating/seating-model.js";

const MOST_ROUNDS = 50;

/**
 * Change of each gap (in the order of the cell's probes) per unit of an error, by symbolic differentiation of the formula for a face's move;
 * the equilibrium of the springs is solved again until the signs of its gaps no longer change. It shares no code with the solver.
 *
 * @param errors layout of `errorLayout`; the slope holds for this sense of it, and the other sense has another.
 * @throws RangeError when the signs do not converge.
 */
export function slopesBySymbols(
  cell: Cell,
  errors: Float64Array,
  slopesOf: FaceMoveSlopes = differentiateFaceMoves(),
): Float64Array {
  const probes = probesOf(cell, slopesOf);
  const poses = 3 * cell.pieces.length;
  const direct = probes.map(({ halves }) =>
    halves.reduce((sum, half) => sum - drivenBy(cell, half, errors), 0),
  );
  const yielding = probes.map(({ halves }) => {
    const row = new Array<number>(poses).fill(0);
    for (const { body, slopes } of halves) {
      if (body < 0) continue;
      for (const [i, name] of (["x", "y", "theta"] as const).entries()) row[3 * body + i]! -= slopes[name];
    }
    return row;
  });
  const stiffness = (gap: number): number => (gap < 0 ? PRESS_RATIO : 1);
  const energy = (gaps: readonly number[]): number =>
    probes.reduce((sum, { weight }, i) => sum + weight * stiffness(at(gaps, i)) * at(gaps, i) ** 2, 0);
  let gaps = direct;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const springs = probes.map(({ weight }, i) => weight * stiffness(at(gaps, i)));
    const next = balanced(direct, yielding, springs);
    const nothing = NOTHING * Math.max(1, ...next.map(Math.abs));
    const converged = next.every((gap, i) => gap < 0 === at(gaps, i) < 0 || Math.abs(gap) < nothing);
    if (converged && round > 0) return Float64Array.from(next);
    gaps = lower(gaps, next, energy);
  }
  throw new RangeError("The signs of the gaps do not come to rest.");
}

/**
 * Moves as far from `gaps` towards `next` as the energy decreases: gaps are linear in the pose, and the energy is convex in
 * it, so repeated halving eventually lowers the energy, whereas full steps can cycle.
 */
function lower(
  gaps: readonly number[],
  next: readonly number[],
  energy: (gaps: readonly number[]) => number,
): number[] {
  const before = energy(gaps);
  for (let share = 1; share > LEAST_SHARE; share /= 2) {
    const there = gaps.map((gap, i) => gap + share * (at(next, i) - gap));
    if (energy(there) < before) return there;
  }
  return [...next];
}

const LEAST_SHARE = 1e-6;

/** A gap this close to zero, as a share of the largest, may take either sign. */
const NOTHING = 1e-12;

interface Half {
  /** Distance from mid-depth, mm. */
  readonly z: number;
  readonly face: Face;
  readonly body: number;
  readonly slopes: Record<FaceVariable, number>;
}

function probesOf(
  cell: Cell,
  slopesOf: FaceMoveSlopes,
): { readonly weight: number; readonly halves: readonly [Half, Half] }[] {
  const depths = readDepths(cell);
  const places = depths.flatMap((z) => cell.joints.map((joint) => ({ z, joint })));
  return places.flatMap(({ z, joint: { first, mate, toe, heel, length } }) =>
    [toe, heel].map((at) => {
      const out = direction(cell.faces[first]!.angle);
      const half = (index: number, sense: 1 | -1): Half => {
        const face = cell.faces[index]!;
        const figures = {
          alpha: face.angle,
          ox: face.origin.x,
          oy: face.origin.y,
          px: at.x,
          py: at.y,
          nx: sense * out.x,
          ny: sense * out.y,
        };
        return {
          z,
          face,
          body: face.body,
          slopes: slopesOf({ ...figures, ...shapeOf(face) } as FaceFigures),
        };
      };
      return { weight: length / 2 / depths.length, halves: [half(first, 1), half(mate, -1)] as const };
    }),
  );
}

const shapeOf = ({ cut, offset }: Face) =>
  cut ? { a: cut.reach, J: cut.jigAngle, k: cut.end * cut.side } : { c: offset, k: 1 };

/** How far the errors move a face outward at its probe while its piece does not move, mm. */
function drivenBy(cell: Cell, { z, face, slopes }: Half, errors: Float64Array): number {
  const { indexOf } = errorLayout(cell);
  if (face.kind === "wall")
    return (
      slopes.delta * at(errors, indexOf("turn", face.name)) +
      slopes.e * at(errors, indexOf("offset", face.name))
    );
  const piece = at(cell.pieces, face.body).name;
  if (face.cut) {
    const { face: name, jigAngle } = face.cut;
    // A lean moves the face along its normal, whereas the reach moves it by its cosine along the normal.
    const lean = z === 0 ? 0 : (z * at(errors, indexOf("lean", piece, name))) / Math.cos(jigAngle);
    return (
      slopes.delta * at(errors, indexOf("angle", piece, name)) +
      slopes.e * (at(errors, indexOf("axial", piece, name)) + lean)
    );
  }
  return (slopes.e * at(errors, indexOf("thickness", piece))) / 2;
}

/** Gaps where the springs balance: g = a + B·q with Bᵀ·W·g = 0. */
function balanced(direct: number[], yielding: number[][], springs: number[]): number[] {
  const { lusolve, matrix, multiply, transpose } = mathjs();
  const b = matrix(yielding);
  const weighted = matrix(yielding.map((row, i) => row.map((value) => value * at(springs, i))));
  const left = multiply(transpose(b), weighted) as Matrix;
  const right = multiply(
    transpose(weighted),
    direct.map((value) => -value),
  ) as unknown as Matrix;
  const pose = (lusolve(left, right) as Matrix).toArray().flat() as number[];
  return direct.map(
    (value, i) => value + at(yielding, i).reduce((sum, slope, j) => sum + slope * at(pose, j), 0),
  );
}

/** The variables that move a face; all are zero in the nominal cell. */
export const FACE_VARIABLES = ["delta", "e", "x", "y", "theta"] as const;
/** One of {@link FACE_VARIABLES}. */
export type FaceVariable = (typeof FACE_VARIABLES)[number];

/**
 * How far a face lies outside its nominal position at the probe (px, py), measured along the direction (nx, ny); mm. The face starts from the
 * origin (ox, oy) with its normal at `alpha`; the piece is displaced by x, y and turned by theta.
 *
 * A cut: its jig turned by delta, which turns its normal by k·delta, k = end·side; its reach a grown by e.
 */
export const CUT_MOVE =
  "((a + e) * cos(J + delta) - cos(alpha + k*delta + theta)*(px - ox - x) - sin(alpha + k*delta + theta)*(py - oy - y))" +
  " / (cos(alpha + k*delta + theta)*nx + sin(alpha + k*delta + theta)*ny)";

/** A side, where e is its part of the excess thickness; or a wall, turned by delta and shifted by e. c is the nominal offset. */
export const STRAIGHT_MOVE =
  "(c + e - cos(alpha + k*delta + theta)*(px - ox - x) - sin(alpha + k*delta + theta)*(py - oy - y))" +
  " / (cos(alpha + k*delta + theta)*nx + sin(alpha + k*delta + theta)*ny)";

/** Numerical values of one face for the letters of the formulas, mm and rad; `k` is a ratio. */
export type FaceFigures = Readonly<Record<"alpha" | "ox" | "oy" | "px" | "py" | "nx" | "ny" | "k", number>> &
  ({ readonly a: number; readonly J: number } | { readonly c: number });

/** Derivatives of a face's move at nominal: mm per rad of a turn, mm per mm of a length. */
export type FaceMoveSlopes = (figures: FaceFigures) => Record<FaceVariable, number>;

/** Differentiates both formulas by rule. */
export function differentiateFaceMoves(): FaceMoveSlopes {
  const { derivative, parse } = mathjs();
  const differentiated = (formula: string): readonly (readonly [FaceVariable, EvalFunction])[] => {
    const node = parse(formula);
    return FACE_VARIABLES.map((name) => [name, derivative(node, name).compile()]);
  };
  const [cut, straight] = [differentiated(CUT_MOVE), differentiated(STRAIGHT_MOVE)];
  return (figures) => {
    const scope = { ...figures, delta: 0, e: 0, x: 0, y: 0, theta: 0 };
    const slopes = ("J" in figures ? cut : straight).map(([name, slope]) => [
      name,
      Number(slope.evaluate(scope)),
    ]);
    return Object.fromEntries(slopes) as Record<FaceVariable, number>;
  };
}

/** Computer algebra is large, and only this file needs it: it is loaded when used. */
const mathjs = (): typeof import("mathjs") => createRequire(import.meta.url)("mathjs");
