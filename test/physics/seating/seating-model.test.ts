import { beforeAll, describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { faceStates } from "../../../src/physics/predict/face-states.js";
import {
  evaluateGaps,
  type GapEvaluation,
  Move,
  newEvaluation,
} from "../../../src/physics/seating/seating-model.js";
import { LARGE, randomErrors, squareCell } from "../../checks/validate/cells.js";
import { ownGaps } from "../../checks/validate/seating-exact.js";

const cell = squareCell(60, 3);
const { seating } = cellModel(cell);
const stream = createStream(21);
const errors = randomErrors(cell, stream, LARGE);
const states = faceStates(cell, errors);
/** Displacements of half a millimetre and turns of two degrees: nothing is small. */
const pose = Float64Array.from({ length: 3 * seating.bodies }, (_, i) =>
  i % 3 === 2 ? 0.035 * stream.normal() : 0.5 * stream.normal(),
);

/** What can be moved: one face's direction or offset, one coordinate of one body. */
type Knob = { readonly list: "angle" | "offset" | "pose"; readonly index: number };

function evaluated(knob?: Knob, step = 0): GapEvaluation {
  const lists = { angle: states.angle.slice(), offset: states.offset.slice(), pose: pose.slice() };
  if (knob) lists[knob.list][knob.index]! += step;
  const out = newEvaluation(seating);
  evaluateGaps(seating, lists.angle, lists.offset, lists.pose, out);
  return out;
}

const STEP = 1e-5;
/** Central difference of one of the kept numbers of one face at one probe. */
function difference(knob: Knob, place: number): number {
  return (evaluated(knob, STEP).moves[place]! - evaluated(knob, -STEP).moves[place]!) / (2 * STEP);
}

describe("gaps", () => {
  it("agree with the way along the normal to where it meets the lines", () => {
    const own = ownGaps(cell, errors, pose);
    const { gap } = evaluated();
    for (const [i, g] of own.entries()) expect(Math.abs(gap[i]! - g)).toBeLessThan(1e-11);
    expect(Math.max(...own.map(Math.abs))).toBeGreaterThan(1);
  });

  it("are minus the sum of both faces' moves", () => {
    const { gap, moves } = evaluated();
    for (const [i, g] of gap.entries()) {
      const at = 2 * i * Move.Size;
      expect(g).toBe(-(moves[at + Move.H]! + moves[at + Move.Size + Move.H]!));
    }
  });
});

describe("the derivatives of a face's move, against central differences", () => {
  const places = [...seating.weight.keys()].flatMap((probe) =>
    [seating.first[probe]!, seating.mate[probe]!].map((face, half) => ({
      face,
      body: seating.faceBody[face]!,
      at: (2 * probe + half) * Move.Size,
    })),
  );
  let moves: Float64Array;
  beforeAll(() => {
    moves = evaluated().moves;
  });

  /** Largest difference between what is kept and the central difference of another kept number, over all probes and faces. */
  function worst(kept: number, of: number, knobOf: (face: number, body: number) => Knob | null): number {
    let most = 0;
    for (const { face, body, at } of places) {
      const knob = knobOf(face, body);
      if (knob) most = Math.max(most, Math.abs(difference(knob, at + of) - moves[at + kept]!));
    }
    return most;
  }

  const direction = (face: number): Knob => ({ list: "angle", index: face });
  const offset = (face: number): Knob => ({ list: "offset", index: face });
  const coordinate =
    (k: 0 | 1 | 2) =>
    (_face: number, body: number): Knob | null =>
      body < 0 ? null : { list: "pose", index: 3 * body + k };

  // Rounding of 60 mm over 2·10⁻⁵, and the third derivative times 10⁻¹⁰, stay below 1e-7.
  it.each([
    ["direction", Move.Angle, Move.H, direction],
    ["offset", Move.Offset, Move.H, offset],
    ["the body's x", Move.X, Move.H, coordinate(0)],
    ["the body's y", Move.Y, Move.H, coordinate(1)],
    ["the body's turn", Move.Angle, Move.H, coordinate(2)],
    ["direction twice", Move.AngleAngle, Move.Angle, direction],
    ["turn and direction", Move.AngleAngle, Move.Angle, coordinate(2)],
    ["direction and offset", Move.AngleOffset, Move.Angle, offset],
    ["offset and direction", Move.AngleOffset, Move.Offset, direction],
    ["direction and x", Move.AngleX, Move.Angle, coordinate(0)],
    ["x and turn", Move.AngleX, Move.X, coordinate(2)],
    ["direction and y", Move.AngleY, Move.Angle, coordinate(1)],
    ["y and direction", Move.AngleY, Move.Y, direction],
  ] as const)("by %s", (_, kept, of, knobOf) => {
    expect(worst(kept, of, knobOf)).toBeLessThan(1e-7);
  });

  it("leave out only second derivatives that are zero", () => {
    for (const { face, body, at } of places) {
      for (const knob of [offset(face), coordinate(0)(face, body), coordinate(1)(face, body)]) {
        if (!knob) continue;
        for (const of of [Move.Offset, Move.X, Move.Y]) expect(difference(knob, at + of)).toBe(0);
      }
    }
  });
});
