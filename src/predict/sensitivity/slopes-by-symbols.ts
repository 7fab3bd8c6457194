import { lusolve, type Matrix, matrix, multiply, transpose } from "mathjs";
import { errorLayout } from "../../cutting/error-layout.js";
import { direction } from "../../geometry/vector.js";
import type { Cell, Face } from "../../lattice/cell.js";
import { readDepths } from "../../lattice/cell-probes.js";
import { PRESS_RATIO } from "../../seating/seating-model.js";
import { type FaceFigures, type FaceVariable, faceMoveSlopes } from "./face-by-symbols.js";

const MOST_ROUNDS = 50;

/**
 * Change of each gap (in the order of `cellProbes`) per unit of an error, worked out by hand: the formula of a face's move
 * differentiated by rule, the balance of the springs solved with the signs it gives, until they stay. It shares no code with the seating.
 *
 * @param errors lay-out of `errorLayout`; the slope holds for this sense of it, and the other sense has another.
 * @throws RangeError when the signs do not come to rest.
 */
export function slopesBySymbols(cell: Cell, errors: Float64Array): Float64Array {
  const probes = probesOf(cell);
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
  let gaps = direct;
  for (let round = 0; round < MOST_ROUNDS; round++) {
    const springs = probes.map(({ weight }, i) => weight * (gaps[i]! < 0 ? PRESS_RATIO : 1));
    const next = balanced(direct, yielding, springs);
    const settled = next.every((gap, i) => gap < 0 === gaps[i]! < 0 || Math.abs(gap) < NOTHING);
    gaps = next;
    if (settled && round > 0) return Float64Array.from(gaps);
  }
  throw new RangeError("The signs of the gaps do not come to rest.");
}

/** A gap per unit this close to zero may take either sign. */
const NOTHING = 1e-12;

interface Half {
  /** Distance from mid-depth, mm. */
  readonly z: number;
  readonly face: Face;
  readonly body: number;
  readonly slopes: Record<FaceVariable, number>;
}

function probesOf(cell: Cell): { readonly weight: number; readonly halves: readonly [Half, Half] }[] {
  const depths = readDepths(cell);
  const places = depths.flatMap((z) => cell.joints.map((joint) => ({ z, joint })));
  return places.flatMap(({ z, joint: { first, mate, toe, heel, length } }) =>
    [toe, heel].map((at) => {
      const out = direction(cell.faces[first]!.angle);
      const half = (index: number, sense: 1 | -1): Half => {
        const face = cell.faces[index]!;
        const figures = {
          ...{ alpha: face.angle, ox: face.origin.x, oy: face.origin.y, px: at.x, py: at.y },
          ...{ nx: sense * out.x, ny: sense * out.y },
        };
        return {
          z,
          face,
          body: face.body,
          slopes: faceMoveSlopes({ ...figures, ...shapeOf(face) } as FaceFigures),
        };
      };
      return { weight: length / 2 / depths.length, halves: [half(first, 1), half(mate, -1)] as const };
    }),
  );
}

const shapeOf = ({ cut, offset }: Face) =>
  cut ? { a: cut.reach, J: cut.jigAngle, k: cut.end * cut.side } : { c: offset, k: 1 };

/** How far the errors move a face outward at its probe while its piece stays. */
function drivenBy(cell: Cell, { z, face, slopes }: Half, errors: Float64Array): number {
  const { indexOf } = errorLayout(cell);
  if (face.kind === "wall")
    return (
      slopes.delta * errors[indexOf("turn", face.name)]! + slopes.e * errors[indexOf("offset", face.name)]!
    );
  const piece = cell.pieces[face.body]!.name;
  if (face.cut) {
    const { face: name, jigAngle } = face.cut;
    // A lean moves the face along its normal, of which the reach moves it by the cosine.
    const lean = z === 0 ? 0 : (z * errors[indexOf("lean", piece, name)]!) / Math.cos(jigAngle);
    return (
      slopes.delta * errors[indexOf("angle", piece, name)]! +
      slopes.e * (errors[indexOf("axial", piece, name)]! + lean)
    );
  }
  return (slopes.e * errors[indexOf("thickness", piece)]!) / 2;
}

/** Gaps where the springs balance: g = a + B·q with Bᵀ·W·g = 0. */
function balanced(direct: number[], yielding: number[][], springs: number[]): number[] {
  const b = matrix(yielding);
  const weighted = matrix(yielding.map((row, i) => row.map((value) => value * springs[i]!)));
  const left = multiply(transpose(b), weighted) as Matrix;
  const right = multiply(
    transpose(weighted),
    direct.map((value) => -value),
  ) as unknown as Matrix;
  const pose = (lusolve(left, right) as Matrix).toArray().flat() as number[];
  return direct.map((value, i) => value + yielding[i]!.reduce((sum, slope, j) => sum + slope * pose[j]!, 0));
}
