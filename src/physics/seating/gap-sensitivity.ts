// Elements are read without bounds checks here: checked reads in the solvers and the likelihood made a calibration 8 to 10 % slower.

import { choleskyInPlace, choleskySolveInPlace } from "../../core/numeric/linear-algebra.js";
import { hessian, slopesOf } from "./energy.js";
import { notHeld } from "./rest-linear.js";
import { type GapEvaluation, Move, type SeatingModel } from "./seating-model.js";

/** Derivatives of one face's direction and offset with respect to parameter number `column`. */
interface FaceSlope {
  readonly column: number;
  readonly angle: number;
  readonly offset: number;
}

/** The slopes of each face. */
export type SlopesByFace = readonly (readonly FaceSlope[])[];

/** Groups the derivatives of faces with respect to the errors by face. */
export function slopesByFace(
  { faceBody }: Pick<SeatingModel, "faceBody">,
  responses: readonly (Omit<FaceSlope, "column"> & { readonly face: number; readonly error: number })[],
): SlopesByFace {
  const byFace: FaceSlope[][] = Array.from(faceBody, () => []);
  for (const { face, error, angle, offset } of responses)
    byFace[face]?.push({ column: error, angle, offset });
  return byFace;
}

/**
 * Derivatives of gaps at equilibrium with respect to `columns` parameters of the faces, row-major (requested probe, column), by implicit differentiation of the
 * equilibrium condition ∇Φ = 0. Valid between kinks; at a kink, for the side given by the signs.
 *
 * A parameter that changes ∇Φ by b moves the poses by −H⁻¹b, and therefore a gap with slopes a by −aᵀH⁻¹b, so one solve with H is needed for each requested gap instead of one for each parameter.
 *
 * @param at the gaps and moves at equilibrium; for first order, the moves at nominal.
 * @param spring stiffness × length of face at equilibrium.
 * @param curved whether the equilibrium includes the second derivatives of the gaps (exact order).
 * @param wanted the requested probes; default all.
 */
export function gapSensitivity(
  model: SeatingModel,
  at: GapEvaluation,
  spring: Float64Array,
  responses: SlopesByFace,
  columns: number,
  curved: boolean,
  wanted: readonly number[] = [...spring.keys()],
): Float64Array {
  const n = 3 * model.bodies;
  const matrix = hessian(model, at, spring, curved);
  if (!choleskyInPlace(matrix, n)) throw notHeld();
  const slopes = new Float64Array(6);
  const place = new Int32Array(6);
  const out = new Float64Array(wanted.length * columns);
  for (const [k, probe] of wanted.entries()) {
    const yielding = new Float64Array(n);
    const own = slopesOf(model, at.moves, probe, slopes, place);
    for (let i = 0; i < own; i++) yielding[place[i]!] = slopes[i]!;
    choleskySolveInPlace(matrix, n, yielding);
    const shares = spring.map((stiffness, j) => {
      const used = slopesOf(model, at.moves, j, slopes, place);
      let sum = 0;
      for (let i = 0; i < used; i++) sum += slopes[i]! * yielding[place[i]!]!;
      return stiffness * sum;
    });
    shares[probe]! -= 1;
    forEachResponse(model, responses, (j, half, body, response) => {
      const direct =
        at.moves[half + Move.Angle]! * response.angle + at.moves[half + Move.Offset]! * response.offset;
      let change = shares[j]! * direct;
      if (curved && body >= 0)
        change += spring[j]! * at.gap[j]! * curvature(at.moves, half, yielding, body, response);
      out[k * columns + response.column]! += change;
    });
  }
  return out;
}

/** ∂²h/∂pose∂parameter of one face's move h, in the direction of a change of its body's pose. */
function curvature(
  moves: Float64Array,
  half: number,
  pose: Float64Array,
  body: number,
  { angle, offset }: FaceSlope,
): number {
  const x = pose[3 * body]! * moves[half + Move.AngleX]! * angle;
  const y = pose[3 * body + 1]! * moves[half + Move.AngleY]! * angle;
  const turn = moves[half + Move.AngleAngle]! * angle + moves[half + Move.AngleOffset]! * offset;
  return x + y + pose[3 * body + 2]! * turn;
}

/** Derivatives of the gaps with every piece held where it is. */
export function directSlopes(
  model: SeatingModel,
  { moves }: GapEvaluation,
  responses: SlopesByFace,
  columns: number,
): Float64Array {
  const out = new Float64Array(model.weight.length * columns);
  forEachResponse(model, responses, (probe, at, _body, { column, angle, offset }) => {
    out[probe * columns + column]! -= moves[at + Move.Angle]! * angle + moves[at + Move.Offset]! * offset;
  });
  return out;
}

function forEachResponse(
  model: SeatingModel,
  responses: SlopesByFace,
  visit: (probe: number, at: number, body: number, response: FaceSlope) => void,
): void {
  for (let i = 0; i < model.weight.length; i++) {
    for (const [half, face] of [model.first[i]!, model.mate[i]!].entries()) {
      for (const response of responses[face] ?? []) {
        visit(i, (2 * i + half) * Move.Size, model.faceBody[face]!, response);
      }
    }
  }
}
