import { describe, expect, it } from "vitest";
import { direction, distance, dot, sub, type Vec } from "../../../src/core/geometry.js";
import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { asCutErrors, noErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { cellOutline, type Edge, predictCell } from "../../../src/physics/predict/predict-cell.js";
import { polygonArea } from "../../core/polygon-area.js";

const DEGREE = Math.PI / 180;
const cell = compileCell(asanohaSquare({ opening: 60, strip: 3 }));
const errors = asCutErrors(cell, {
  pieces: {
    "hinge-1": { thickness: 0.02, cuts: { "end-right": { angle: 0.3 * DEGREE, axial: -0.06 } } },
    "key-2": { cuts: { "end-left": { angle: -0.2 * DEGREE, axial: 0.03 } } },
    diagonal: { cuts: { "start-left": { axial: -0.08 } } },
  },
  walls: { "wall-top": { offset: 0.03, turn: 0.05 * DEGREE } },
});
const prediction = predictCell(cell, errors);
const outlineAt = (magnification: number) => cellOutline(cell, errors, prediction.rest.pose, magnification);

/** How far along `normal` from `p` the line through an edge lies. */
function reachTo({ from, to }: Edge, p: Vec, normal: Vec): number {
  const along = sub(to, from);
  const across = { x: -along.y, y: along.x };
  return dot(across, sub(from, p)) / dot(across, normal);
}

describe("the outlines of a cell", () => {
  it("are the nominal ones at magnification 0, whatever the errors", () => {
    const outline = outlineAt(0);
    const nominal = cellOutline(cell, noErrors(cell), new Float64Array(3 * cell.pieces.length), 1);
    expect(outline.pieces).toEqual(nominal.pieces);
    const area = (name: string): number =>
      polygonArea(outline.pieces.find((piece) => piece.name === name)!.corners);
    // A strip between two right-angled points: length × thickness less the two tips' (t/2)² each.
    expect(area("diagonal")).toBeCloseTo(60 * Math.SQRT2 * 3 - 2 * 1.5 ** 2, 9);
    expect(area("key-1")).toBeCloseTo(24.4719 * 3 - 2 * 1.5 ** 2, 3);
  });

  it("stand apart at every probe by the gap that the seating found, at magnification 1", () => {
    const { joints } = outlineAt(1);
    const off = cell.joints.flatMap((joint, i) => {
      const normal = direction(cell.faces[joint.first]!.angle);
      return [joint.toe, joint.heel].map((p, end) => {
        const apart = reachTo(joints[i]!.mate, p, normal) - reachTo(joints[i]!.first, p, normal);
        return Math.abs(apart - prediction.probes[2 * i + end]!.gap);
      });
    });
    expect(off).toHaveLength(44);
    expect(Math.max(...off)).toBeLessThan(1e-9);
    expect(prediction.widestGap).toBeGreaterThan(0.01);
  });

  it("move every corner and wall end in proportion to the magnification", () => {
    const [none, one, twenty] = [0, 1, 20].map(outlineAt);
    const points = ({ pieces, walls }: typeof none & object): Vec[] => [
      ...pieces.flatMap(({ corners }) => corners),
      ...walls.flatMap(({ from, to }) => [from, to]),
    ];
    for (const [i, p] of points(none!).entries()) {
      const step = sub(points(one!)[i]!, p);
      const leap = sub(points(twenty!)[i]!, p);
      expect(leap.x).toBeCloseTo(20 * step.x, 9);
      expect(leap.y).toBeCloseTo(20 * step.y, 9);
    }
  });

  it("put a wall that stands into the opening there, turned about its middle", () => {
    const wall = outlineAt(1).walls.find(({ name }) => name === "wall-top")!;
    expect((wall.from.y + wall.to.y) / 2).toBeCloseTo(60 - 0.03 * Math.cos(0.05 * DEGREE), 9);
    expect(Math.abs(wall.to.y - wall.from.y)).toBeCloseTo(60 * Math.sin(0.05 * DEGREE), 9);
    expect(wall.normal.y).toBeCloseTo(-1, 12);
  });

  it("name the largest move of any cut's ends, not magnified", () => {
    const short = asCutErrors(cell, {
      pieces: {
        diagonal: {
          cuts: {
            "start-left": { axial: -0.1 },
            "start-right": { axial: -0.1 },
            "end-left": { axial: -0.1 },
            "end-right": { axial: -0.1 },
          },
        },
      },
    });
    // Held where it was: each end face moves 0.1 mm along the axis.
    const still = new Float64Array(3 * cell.pieces.length);
    expect(cellOutline(cell, short, still, 7).largestMove).toBeCloseTo(0.1, 9);
    const moved = cellOutline(cell, short, still, 7).pieces.find(({ name }) => name === "diagonal")!;
    const nominal = cellOutline(cell, short, still, 0).pieces.find(({ name }) => name === "diagonal")!;
    expect(Math.max(...moved.corners.map((p, i) => distance(p, nominal.corners[i]!)))).toBeCloseTo(0.7, 9);
  });
});
