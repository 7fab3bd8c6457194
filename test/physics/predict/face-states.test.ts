import { describe, expect, it } from "vitest";
import { direction, dot, polygonOf, type Vec } from "../../../src/core/geometry.js";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import type { Cut } from "../../../src/model/cell/arrangement.js";
import { benchNamed } from "../../../src/model/cell/benches.js";
import { facePlane } from "../../../src/model/cell/cell.js";
import { type AsCut, asCutErrors, errorLayout, noErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { faceResponses, faceStates } from "../../../src/physics/predict/face-states.js";
import { DEGREE, LARGE, randomErrors, squareCell } from "../../checks/validate/cells.js";

const cell = squareCell(60, 3);

/** Outline of one piece as cut, in its nominal place. */
function outline(piece: string, asCut: NonNullable<AsCut["pieces"]>[string]): Vec[] {
  const states = faceStates(cell, asCutErrors(cell, { pieces: { [piece]: asCut } }));
  return polygonOf(
    cell.faces.flatMap((face, i) =>
      face.name.startsWith(`${piece}.`)
        ? [facePlane({ ...face, angle: states.angle[i]!, offset: states.offset[i]! })]
        : [],
    ),
  );
}

/** A place along and across a piece's axis. */
function inPiece(piece: string, p: Vec): { along: number; across: number } {
  const { origin, axis } = cell.pieces.find(({ name }) => name === piece)!;
  const r = { x: p.x - origin.x, y: p.y - origin.y };
  return { along: dot(r, direction(axis)), across: dot(r, direction(axis + Math.PI / 2)) };
}

/** Angle (rad) at the corner of an outline that lies furthest towards the end of the axis. */
function pointAngle(piece: string, corners: readonly Vec[]): number {
  const alongs = corners.map((p) => inPiece(piece, p).along);
  const i = alongs.indexOf(Math.max(...alongs));
  const [tip, before, after] = [0, -1, 1].map((k) => corners[(i + k + corners.length) % corners.length]!);
  const turn = (p: Vec) => Math.atan2(p.y - tip!.y, p.x - tip!.x);
  const angle = Math.abs(turn(before!) - turn(after!));
  return Math.min(angle, 2 * Math.PI - angle);
}

const both = (error: { angle?: number; axial?: number }) => ({ "end-left": error, "end-right": error });
const span = (values: readonly number[]) => Math.max(...values) - Math.min(...values);

describe("signs of the errors, read off the outline", () => {
  it("a jig that cuts steeper makes a sharper point, by twice the error", () => {
    for (const delta of [2, 0, -2]) {
      const corners = outline("key-1", { cuts: both({ angle: delta * DEGREE }) });
      expect(pointAngle("key-1", corners) / DEGREE).toBeCloseTo(90 - 2 * delta, 9);
    }
  });

  it("leaves the tip in its place however steep the jig", () => {
    const corners = outline("key-1", { cuts: both({ angle: 3 * DEGREE }) });
    const length = span(corners.map((p) => inPiece("key-1", p).along));
    expect(length).toBeCloseTo(cell.pieces.find(({ name }) => name === "key-1")!.length, 9);
  });

  it("a positive axial error makes the piece longer by as much", () => {
    const nominal = span(outline("diagonal", {}).map((p) => inPiece("diagonal", p).along));
    const longer = span(
      outline("diagonal", { cuts: both({ axial: 0.2 }) }).map((p) => inPiece("diagonal", p).along),
    );
    expect(longer - nominal).toBeCloseTo(0.2, 9);
  });

  it("thickness moves both sides by half, and no cut", () => {
    const thick = outline("diagonal", { thickness: 0.3 });
    expect(span(thick.map((p) => inPiece("diagonal", p).across))).toBeCloseTo(3.3, 9);
    expect(span(thick.map((p) => inPiece("diagonal", p).along))).toBeCloseTo(60 * Math.SQRT2, 9);
  });

  it("axial errors of opposite sign put the point off centre", () => {
    const corners = outline("diagonal", {
      cuts: { "end-left": { axial: 0.1 }, "end-right": { axial: -0.1 } },
    });
    const tip = corners.map((p) => inPiece("diagonal", p)).sort((a, b) => b.along - a.along)[0]!;
    expect(tip.across).toBeCloseTo(0.1, 9);
    expect(tip.along).toBeCloseTo((60 * Math.SQRT2) / 2, 9);
  });

  it("a wall with a positive offset stands further into the opening, one with a positive turn counter-clockwise", () => {
    for (const [i, wall] of cell.walls.entries()) {
      const states = faceStates(
        cell,
        asCutErrors(cell, { walls: { [wall.name]: { offset: 0.2, turn: 0.01 } } }),
      );
      const inward = { x: 30 - wall.middle.x, y: 30 - wall.middle.y };
      expect(dot(direction(states.angle[i]!), inward)).toBeCloseTo(30 * Math.cos(0.01), 9);
      expect(states.offset[i]).toBe(0.2);
      expect(states.angle[i]! - wall.normal).toBeCloseTo(0.01, 15);
    }
  });
});

/** How far a cut's face has moved outward at lateral place y, along its nominal normal: exactly, by the crossing of two lines in the piece's frame. */
function movedOutward({ side, jigAngle, reach }: Cut, y: number, delta: number, e: number): number {
  // Counted from the middle towards the end, the true face is x = reach + e − σ·y·tan(J + δ); the way to it runs along (cos J, σ·sin J) from the nominal face at y.
  const x0 = reach - side * y * Math.tan(jigAngle);
  const lean = side * Math.tan(jigAngle + delta);
  return (reach + e - x0 - lean * y) / (Math.cos(jigAngle) + lean * side * Math.sin(jigAngle));
}

describe("how far a face moves", () => {
  const cuts = cell.pieces.flatMap((piece) => piece.cuts.map((cut) => ({ piece: piece.name, cut })));

  it("agrees with the crossing of the two lines, for every cut", () => {
    for (const { piece, cut } of cuts) {
      for (const [delta, e, y] of [
        [0.02, 0, 1.5],
        [-0.03, 0.1, -0.7],
        [0.01, -0.2, 0],
      ] as const) {
        const errors = asCutErrors(cell, {
          pieces: { [piece]: { cuts: { [cut.face]: { angle: delta, axial: e } } } },
        });
        const states = faceStates(cell, errors);
        const i = cell.faces.findIndex(({ name }) => name === `${piece}.${cut.face}`);
        const face = cell.faces[i]!;
        const { axis } = cell.pieces[face.body]!;
        const x = cut.end * (cut.reach - cut.side * y * Math.tan(cut.jigAngle));
        const probe = {
          x: x * Math.cos(axis) - y * Math.sin(axis),
          y: x * Math.sin(axis) + y * Math.cos(axis),
        };
        const true_ = direction(states.angle[i]!);
        const h = (states.offset[i]! - dot(true_, probe)) / dot(true_, direction(face.angle));
        expect(h).toBeCloseTo(movedOutward(cut, y, delta, e), 11);
      }
    }
  });

  it("is e·cos J − σ·y·δ/cos J to first order, the rest falling with the square", () => {
    for (const { cut } of cuts) {
      const y = 1.2;
      const rest = [1e-3, 1e-4].map((size) => {
        const [delta, e] = [0.7 * size, 2 * size];
        const first = e * Math.cos(cut.jigAngle) - (cut.side * y * delta) / Math.cos(cut.jigAngle);
        return Math.abs(movedOutward(cut, y, delta, e) - first);
      });
      expect(rest[0]! / rest[1]!).toBeGreaterThan(97);
      expect(rest[0]! / rest[1]!).toBeLessThan(103);
    }
  });
});

describe("the derivatives of the faces", () => {
  it("agree with central differences about errors that are not small", () => {
    const errors = randomErrors(cell, createStream(4), LARGE);
    const responses = faceResponses(cell, errors);
    const count = errorLayout(cell).entries.length;
    const step = 1e-6;
    let largest = 0;
    for (let k = 0; k < count; k++) {
      const [plus, minus] = [1, -1].map((sign) => {
        const moved = Float64Array.from(errors);
        moved[k]! += sign * step;
        return faceStates(cell, moved);
      });
      for (const f of cell.faces.keys()) {
        const own = responses.filter(({ face, error }) => face === f && error === k);
        for (const what of ["angle", "offset"] as const) {
          const difference = (plus![what][f]! - minus![what][f]!) / (2 * step);
          const slope = own.reduce((sum, response) => sum + response[what], 0);
          largest = Math.max(largest, Math.abs(difference - slope));
        }
      }
    }
    // Rounding of offsets of 40 mm over a step of 1e-6.
    expect(largest).toBeLessThan(2e-8);
  });

  it("are none for pins", () => {
    const bench = compileCell(benchNamed("reversal", { strip: 3, jigAngle: 45 * DEGREE }));
    const responses = faceResponses(bench, noErrors(bench));
    const answering = new Set(responses.map(({ face }) => bench.faces[face]!.kind));
    expect([...answering].sort()).toEqual(["cut", "side", "wall"]);
  });
});

describe("without errors", () => {
  it("every face lies where the pattern has it", () => {
    const states = faceStates(cell, noErrors(cell));
    for (const [i, face] of cell.faces.entries()) {
      expect(states.angle[i]).toBeCloseTo(face.angle, 14);
      expect(states.offset[i]).toBeCloseTo(face.offset, 14);
    }
  });
});
