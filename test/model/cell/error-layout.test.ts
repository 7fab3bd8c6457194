import { describe, expect, it } from "vitest";
import { errorLayout, noErrors } from "../../../src/model/cell/cell-errors.js";
import { squareCell } from "../../checks/validate/cells.js";

describe("the layout of a cell's errors", () => {
  const cell = squareCell(60, 3);
  const layout = errorLayout(cell);

  it("has a thickness for each piece, two errors for each cut and two for each wall", () => {
    expect(layout.entries).toHaveLength(7 + 2 * 28 + 2 * 4);
    expect(noErrors(cell)).toEqual(new Float64Array(71));
  });

  it("finds each entry where it stands", () => {
    for (const [i, { kind, owner, face }] of layout.entries.entries()) {
      expect(layout.indexOf(kind, owner, face)).toBe(i);
    }
  });

  it("travels with its cell, which is plain data, to another thread", () => {
    const sent = errorLayout(structuredClone(cell));
    expect(sent.entries).toEqual(layout.entries);
    for (const [i, { kind, owner, face }] of layout.entries.entries())
      expect(sent.indexOf(kind, owner, face)).toBe(i);
  });

  it("refuses what the cell does not have", () => {
    expect(() => layout.indexOf("angle", "hinge-5", "end-left")).toThrow(
      new RangeError('No error "hinge-5.end-left angle" in asanoha-square.'),
    );
    expect(() => layout.indexOf("turn", "diagonal")).toThrow(RangeError);
    expect(() => layout.indexOf("thickness", "wall-left")).toThrow(RangeError);
  });
});
