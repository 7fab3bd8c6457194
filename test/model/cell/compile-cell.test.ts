import { describe, expect, it } from "vitest";
import type { Arrangement, Piece } from "../../../src/model/cell/arrangement.js";
import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { benchNamed } from "../../../src/model/cell/benches.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { userError } from "../../user-error.js";

const square = asanohaSquare({ opening: 60, strip: 3 });

/** The arrangement with one piece changed. */
function withPiece(arrangement: Arrangement, name: string, change: (piece: Piece) => Partial<Piece>) {
  const pieces = arrangement.pieces.map((p) => (p.name === name ? { ...p, ...change(p) } : p));
  return { ...arrangement, pieces };
}

describe("an arrangement is compiled", () => {
  it("keeps its pieces and walls, and gives each face its owner", () => {
    const cell = compileCell(square);
    expect(cell.faces.filter(({ kind }) => kind === "wall")).toHaveLength(4);
    expect(cell.faces.filter(({ kind }) => kind === "side")).toHaveLength(14);
    expect(cell.faces.filter(({ kind }) => kind === "cut")).toHaveLength(28);
    for (const { name, body } of cell.faces) {
      expect(body < 0 ? name : `${cell.pieces[body]!.name}.${name.split(".")[1]}`).toBe(name);
    }
    expect(cell.joints.every(({ pressed }) => pressed)).toBe(true);
  });

  it("turns pins into contacts and marks joints that are only brought together", () => {
    const cell = compileCell(benchNamed("reversal", { strip: 3, jigAngle: Math.PI / 4 }));
    expect(cell.contacts).toHaveLength(1);
    for (const { first, mate } of cell.contacts) {
      expect(cell.faces[first]!.name).toMatch(/^point-\d\.pin$/);
      expect(cell.faces[mate]!.body).toBe(-1);
    }
    expect(cell.joints.filter(({ pressed }) => !pressed).map(({ name }) => name)).toEqual([
      "point-2.start-left|line",
    ]);
  });
});

describe("an arrangement that cannot be built is refused", () => {
  it("when a cut has vanished", () => {
    const shaved = withPiece(square, "key-1", ({ cuts }) => ({
      cuts: cuts.map((c) => (c.face === "end-left" ? { ...c, reach: c.reach + 10 } : c)),
    }));
    expect(() => compileCell(shaved)).toThrow(userError("cell"));
    expect(() => compileCell(shaved)).toThrow(/key-1\.end-left would vanish/);
  });

  it("when a piece has no end", () => {
    const open = withPiece(square, "key-1", ({ cuts }) => ({ cuts: cuts.slice(0, 2) }));
    expect(() => compileCell(open)).toThrow(/would vanish/);
  });

  it("when pieces overlap", () => {
    const pushed = withPiece(square, "key-1", ({ origin }) => ({
      origin: { x: origin.x + 0.01, y: origin.y - 0.01 },
    }));
    expect(() => compileCell(pushed)).toThrow(/would not meet as the pattern needs/);
  });

  it("when one lies across another although every joint is there", () => {
    const stray = { ...square.pieces[3]!, name: "stray", origin: { x: 30, y: 30 }, axis: 0.3 };
    expect(() => compileCell({ ...square, pieces: [...square.pieces, stray] })).toThrow(
      /would not meet as the pattern needs/,
    );
  });

  it("when a piece stands off its place and joints are missing", () => {
    const off = withPiece(square, "key-1", ({ origin }) => ({
      origin: { x: origin.x - 0.01, y: origin.y + 0.01 },
    }));
    expect(() => compileCell(off)).toThrow(/would not meet as the pattern needs/);
    const fewer = { ...square, pieces: square.pieces.slice(0, 6) };
    expect(() => compileCell(fewer)).toThrow(userError("cell"));
  });

  it("when a pin or an unpressed joint names what is not there", () => {
    const pins = [{ piece: "hinge-9", at: { x: 0, y: 0 }, stops: 0 }];
    expect(() => compileCell({ ...square, pins })).toThrow(
      'asanoha-square names a piece "hinge-9" that it does not have.',
    );
    expect(() => compileCell({ ...square, unpressed: ["key-1.end-left|wall-top"] })).toThrow(
      'asanoha-square names a joint "key-1.end-left|wall-top" that it does not have.',
    );
  });
});
