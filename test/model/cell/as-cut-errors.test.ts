import { describe, expect, it } from "vitest";
import { asCutErrors, errorLayout, noErrors } from "../../../src/model/cell/cell-errors.js";
import { squareCell } from "../../checks/validate/cells.js";

describe("errors as cut", () => {
  const cell = squareCell(60, 3);
  const { indexOf } = errorLayout(cell);

  it("go to their places and leave the rest at zero", () => {
    const errors = asCutErrors(cell, {
      pieces: {
        "hinge-2": { thickness: 0.05, cuts: { "end-left": { angle: 0.01 }, "start-right": { axial: -0.2 } } },
      },
      walls: { "wall-top": { turn: -0.003 }, "wall-left": { offset: 0.4 } },
    });
    const expected = noErrors(cell);
    expected[indexOf("thickness", "hinge-2")] = 0.05;
    expected[indexOf("angle", "hinge-2", "end-left")] = 0.01;
    expected[indexOf("axial", "hinge-2", "start-right")] = -0.2;
    expected[indexOf("turn", "wall-top")] = -0.003;
    expected[indexOf("offset", "wall-left")] = 0.4;
    expect(errors).toEqual(expected);
  });

  it("may be none", () => {
    expect(asCutErrors(cell, {})).toEqual(noErrors(cell));
  });

  it("are refused for a piece, a cut or a wall that is not there", () => {
    expect(() => asCutErrors(cell, { pieces: { "hinge-5": {} } })).toThrow(/No error "hinge-5 thickness"/);
    const cuts = { "middle-left": { angle: 0.1 } } as Record<string, { angle: number }>;
    expect(() => asCutErrors(cell, { pieces: { "key-1": { cuts } } })).toThrow(
      /No error "key-1.middle-left angle"/,
    );
    expect(() => asCutErrors(cell, { walls: { floor: { turn: 1 } } })).toThrow(/No error "floor turn"/);
  });
});
