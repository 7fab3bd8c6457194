import { choleskyInPlace, choleskySolveInPlace } from "../numeric/cholesky.js";
import { hessian, slopesOf } from "./energy.js";
import { type GapEvaluation, Move } from "./evaluate-gaps.js";
import { notHeld } from "./rest-linear.js";
import type { SeatingModel } from "./seating-model.js";

/** How one face's direction and offset answer to parameter number `column`. */
export interface FaceSlope {
  readonly face: number;
  readonly column: number;
  readonly angle: number;
  readonly offset: number;
}

/**
 * Derivatives of the gaps at rest by `columns` parameters of the faces, row-major (probe, column), by implicit differentiation of the
 * balance ∇Φ = 0: the pieces settle anew as a parameter changes. Valid between kinks; at one, the side of the signs given.
 *
 * @param at the gaps and moves at rest; for first order, moves at nominal.
 * @param spring stiffness × stretch at rest.
 * @param curved whether the second derivatives of the gaps are part of the rest (exact order).
 */
export function gapSensitivity(
  model: SeatingModel,
  at: GapEvaluation,
  spring: Float64Array,
  responses: readonly FaceSlope[],
  columns: number,
  curved: boolean,
): Float64Array {
  const n = 3 * model.bodies;
  const matrix = hessian(model, at, spring, curved);
  if (!choleskyInPlace(matrix, n)) throw notHeld();
  const direct = directSlopes(model, at, responses, columns);
  const pull = Array.from({ length: columns }, () => new Float64Array(n));
  const slopes = new Float64Array(6);
  const place = new Int32Array(6);
  for (let i = 0; i < spring.length; i++) {
    const used = slopesOf(model, at.moves, i, slopes, place);
    for (let c = 0; c < columns; c++) {
      const d = direct[i * columns + c]!;
      if (d !== 0) for (let k = 0; k < used; k++) pull[c]![place[k]!]! -= spring[i]! * slopes[k]! * d;
    }
  }
  if (curved) addCurvature(model, at, spring, responses, pull);
  for (const column of pull) choleskySolveInPlace(matrix, n, column);
  for (let i = 0; i < spring.length; i++) {
    const used = slopesOf(model, at.moves, i, slopes, place);
    for (let c = 0; c < columns; c++) {
      for (let k = 0; k < used; k++) direct[i * columns + c]! += slopes[k]! * pull[c]![place[k]!]!;
    }
  }
  return direct;
}

/** Derivatives of the gaps with every piece held where it is. */
export function directSlopes(
  model: SeatingModel,
  { moves }: GapEvaluation,
  responses: readonly FaceSlope[],
  columns: number,
): Float64Array {
  const out = new Float64Array(model.weight.length * columns);
  forEachResponse(model, responses, (probe, at, _body, { column, angle, offset }) => {
    out[probe * columns + column]! -= moves[at + Move.Angle]! * angle + moves[at + Move.Offset]! * offset;
  });
  return out;
}

/** The part of ∂∇Φ/∂parameter that comes from ∂²gap/∂pose∂parameter, taken from `pull` (which holds −∂∇Φ/∂parameter). */
function addCurvature(
  model: SeatingModel,
  { gap, moves }: GapEvaluation,
  spring: Float64Array,
  responses: readonly FaceSlope[],
  pull: readonly Float64Array[],
): void {
  forEachResponse(model, responses, (probe, at, body, { column, angle, offset }) => {
    if (body < 0) return;
    const load = spring[probe]! * gap[probe]!;
    const target = pull[column]!;
    target[3 * body]! += load * moves[at + Move.AngleX]! * angle;
    target[3 * body + 1]! += load * moves[at + Move.AngleY]! * angle;
    target[3 * body + 2]! +=
      load * (moves[at + Move.AngleAngle]! * angle + moves[at + Move.AngleOffset]! * offset);
  });
}

function forEachResponse(
  model: SeatingModel,
  responses: readonly FaceSlope[],
  visit: (probe: number, at: number, body: number, response: FaceSlope) => void,
): void {
  const byFace: FaceSlope[][] = Array.from(model.faceBody, () => []);
  for (const response of responses) byFace[response.face]!.push(response);
  for (let i = 0; i < model.weight.length; i++) {
    for (const [half, face] of [model.first[i]!, model.mate[i]!].entries()) {
      for (const response of byFace[face]!) {
        visit(i, (2 * i + half) * Move.Size, model.faceBody[face]!, response);
      }
    }
  }
}
