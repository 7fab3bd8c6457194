import { describe, expect, it } from "vitest";
import { createStream } from "../../../src/core/numeric/random-stream.js";
import { checkPattern } from "../../../src/io/patterns/check-pattern.js";
import { shippedPattern, shippedPatterns } from "../../../src/io/patterns/find-pattern.js";
import type { PatternSizes } from "../../../src/io/patterns/pattern.js";
import type { Arrangement } from "../../../src/model/cell/arrangement.js";
import { errorLayout, noErrors } from "../../../src/model/cell/cell-errors.js";
import { compileCell } from "../../../src/model/cell/compile-cell.js";
import { createKernel } from "../../../src/physics/kernel/seating-kernel.js";
import { cellModel } from "../../../src/physics/predict/cell-model.js";
import { solveEquilibrium } from "../../../src/physics/predict/equilibrium.js";
import { predictCell } from "../../../src/physics/predict/predict-cell.js";
import { ORDINARY, randomErrors } from "../../checks/validate/cells.js";
import { areaOf, outlines, unionArea } from "../../model/cell/support/outlines.js";
import { arranged, cellOf } from "./support/arranged.js";

const DEGREE = Math.PI / 180;
const ORDERS = ["first", "exact"] as const;

/** Sizes at which every pattern must close; further sides come from them. */
const SIZES: readonly PatternSizes[] = [
  {},
  { opening: 40, strip: 2 },
  { opening: 60.325, strip: 3.175 },
  { opening: 150, strip: 6.5 },
];
/** Of rectangular openings, lower, square and higher than wide. */
const HEIGHTS: readonly PatternSizes[] = [
  { height: 38, opening: 60 },
  { height: 60, opening: 60 },
  { height: 85, opening: 60 },
];
const sizesOf = (name: string): PatternSizes[] =>
  shippedPattern(name).sizes.some((size) => size.name === "height") ? [...SIZES, ...HEIGHTS] : [...SIZES];

const openingArea = ({ walls }: Arrangement): number => {
  const corners = walls.map(({ middle, normal, halfLength }) => ({
    x: middle.x - Math.cos(normal + Math.PI / 2) * halfLength,
    y: middle.y - Math.sin(normal + Math.PI / 2) * halfLength,
  }));
  const centre = corners.reduce((sum, { x, y }) => ({ x: sum.x + x, y: sum.y + y }), { x: 0, y: 0 });
  const around = ({ x, y }: { x: number; y: number }) =>
    Math.atan2(y - centre.y / corners.length, x - centre.x / corners.length);
  return areaOf([...corners].sort((a, b) => around(a) - around(b)));
};

describe("the patterns of this project", () => {
  it("are six, the square asanoha first, each called as its file", () => {
    const names = shippedPatterns();
    expect(names[0]).toBe("asanoha-square");
    expect(names).toHaveLength(6);
    for (const name of names) expect(shippedPattern(name).name).toBe(name);
  });
});

describe.each(shippedPatterns())("the pattern %s", (name) => {
  it("closes at every size: nothing does not meet", () => {
    for (const sizes of sizesOf(name))
      expect(checkPattern(shippedPattern(name), arranged(name, sizes)), JSON.stringify(sizes)).toEqual([]);
  });

  it("overlaps nowhere: the areas of its pieces add up to that of their union, within the opening", () => {
    for (const sizes of sizesOf(name)) {
      const arrangement = arranged(name, sizes);
      const polygons = outlines(compileCell(arrangement));
      const sum = polygons.reduce((total, corners) => total + areaOf(corners), 0);
      expect(Math.abs(unionArea(polygons) / sum - 1)).toBeLessThan(1e-9);
      const opening = outlines(compileCell(arrangement)).flat();
      for (const { middle, normal } of arrangement.walls)
        for (const { x, y } of opening)
          expect(Math.cos(normal) * (x - middle.x) + Math.sin(normal) * (y - middle.y)).toBeGreaterThan(
            -1e-9,
          );
      expect(sum).toBeLessThan(openingArea(arrangement));
    }
  });

  it("would be seen to overlap if a piece lay a hundredth of a millimetre off", () => {
    const polygons = outlines(cellOf(name));
    const sum = polygons.reduce((total, corners) => total + areaOf(corners), 0);
    const missed = [0, 1, 2, 3].map((k) => {
      const moved = polygons[0]!.map(({ x, y }) => ({
        x: x + 0.01 * Math.cos((k * Math.PI) / 2 + 0.3),
        y: y + 0.01 * Math.sin((k * Math.PI) / 2 + 0.3),
      }));
      return sum - unionArea([moved, ...polygons.slice(1)]);
    });
    expect(Math.max(...missed)).toBeGreaterThan(1e-3);
  });

  it("has no gap and no press when nothing is wrong, in both orders", () => {
    const cell = cellOf(name);
    for (const order of ORDERS) {
      const { widestGap, deepestPress } = predictCell(cell, noErrors(cell), { order });
      expect(Math.max(widestGap, deepestPress)).toBeLessThan(1e-9);
    }
  });

  it("answers errors alike with gaps alike: joints between the same kinds of cuts gape the same", () => {
    const cell = cellOf(name);
    const errors = noErrors(cell);
    const { indexOf } = errorLayout(cell);
    // By the angle of the cut, so that cuts at both ends that are each other's image have the same errors.
    for (const piece of cell.pieces)
      for (const { face, jigAngle } of piece.cuts) {
        errors[indexOf("angle", piece.name, face)] = 0.4 * DEGREE * Math.sin(7 * jigAngle);
        errors[indexOf("axial", piece.name, face)] = -0.05 + 0.02 * jigAngle;
      }
    const { probes, widestGap } = predictCell(cell, errors);
    const oblong = shippedPattern(name).sizes.some((size) => size.name === "height");
    expect(widestGap).toBeGreaterThan(0.005);
    const classes = new Map<string, number[]>();
    const sideOf = (face: number): string => {
      const { kind, cut, body, angle } = cell.faces[face]!;
      // Upright and level walls of a rectangle are no images of each other.
      if (kind === "wall") return oblong ? `wall ${Math.abs(Math.cos(angle)).toFixed(6)}` : "wall";
      return `${cell.pieces[body]!.kind} ${cut ? `${cut.role} ${cut.jigAngle.toFixed(6)}` : kind}`;
    };
    for (const [j, { first, mate }] of cell.joints.entries()) {
      // Where both faces are alike either may be named first.
      const key = [sideOf(first), sideOf(mate)].sort().join("|");
      classes.set(key, [...(classes.get(key) ?? []), j]);
    }
    expect([...classes.values()].some((joints) => joints.length > 1)).toBe(true);
    for (const joints of classes.values())
      for (const end of [0, 1])
        for (const j of joints)
          expect(probes[2 * j + end]!.gap).toBeCloseTo(probes[2 * joints[0]! + end]!.gap, 8);
  });

  it("is seated by the kernel as by the readable solver", () => {
    const model = cellModel(cellOf(name));
    const stream = createStream(77);
    const draws = Array.from({ length: 40 }, () => randomErrors(model.cell, stream, ORDINARY));
    for (const order of ORDERS) {
      const kernel = createKernel(model, { order });
      for (const [k, own] of draws.entries()) kernel.drawsOf(k).set(own);
      kernel.seat(draws.length);
      for (const [k, own] of draws.entries()) {
        const { first, rest } = solveEquilibrium(model, own, { order: "exact" });
        const wanted = order === "first" ? first : rest;
        for (let i = 0; i < model.readProbes; i++)
          expect(Math.abs(kernel.gap(k, i) - wanted.gap[i]!)).toBeLessThan(1e-9);
      }
    }
  });

  it("puts every piece in once", () => {
    const { stages, pieces } = arranged(name);
    expect(stages!.flat().toSorted()).toEqual(pieces.map((piece) => piece.name).toSorted());
  });
});
