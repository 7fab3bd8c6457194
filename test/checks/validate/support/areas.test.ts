import * as polyclip from "polyclip-ts";
import { describe, expect, it } from "vitest";
import { createStream } from "../../../../src/core/numeric/random-stream.js";
import { errorLayout, noErrors } from "../../../../src/model/cell/cell-errors.js";
import { cellOutline, predictCell } from "../../../../src/physics/predict/predict-cell.js";
import { ORDINARY, randomErrors, squareCell } from "../cells.js";
import { areaLeft, areaOf, commonArea, pieceOutlines, unionArea, wallOutlines } from "../seating-areas.js";
import { logLogSlope } from "../seating-exact.js";

const square = (x: number, y: number, side: number) => [
  { x, y },
  { x: x + side, y },
  { x: x + side, y: y + side },
  { x, y: y + side },
];

describe("areas by the polygon library", () => {
  const [a, b] = [square(0, 0, 2), square(1, 1, 2)];

  it("of two squares are those of simple sums", () => {
    expect(areaOf(a)).toBeCloseTo(4, 12);
    expect(commonArea(polyclip, a, b)).toBeCloseTo(1, 9);
    expect(unionArea(polyclip, [a, b])).toBeCloseTo(7, 9);
    expect(areaLeft(polyclip, a, [b])).toBeCloseTo(3, 9);
  });

  it("count a hole as no area, and nothing left as none", () => {
    expect(areaLeft(polyclip, square(0, 0, 3), [square(1, 1, 1)])).toBeCloseTo(8, 9);
    expect(areaLeft(polyclip, square(1, 1, 1), [square(0, 0, 3), square(5, 5, 1)])).toBe(0);
    expect(commonArea(polyclip, a, square(5, 5, 1))).toBe(0);
  });
});

describe("outlines by cutting sheets along lines", () => {
  const cell = squareCell(60, 3);

  it("have the corners of the outlines that are drawn", () => {
    const errors = randomErrors(cell, createStream(622), ORDINARY);
    const { pose } = predictCell(cell, errors).rest;
    const drawn = cellOutline(cell, errors, pose, 1).pieces;
    const ours = pieceOutlines(cell, errors, pose);
    for (const { name, corners } of drawn) {
      const own = ours.get(name)!;
      expect(own).toHaveLength(corners.length);
      for (const { x, y } of corners)
        expect(Math.min(...own.map((p) => Math.hypot(p.x - x, p.y - y)))).toBeLessThan(1e-9);
    }
  });

  it("of walls lie behind them and follow their offset", () => {
    const errors = noErrors(cell);
    errors[errorLayout(cell).indexOf("offset", "wall-left")] = 0.25;
    const wall = wallOutlines(cell, errors, 3).get("wall-left")!;
    expect(Math.max(...wall.map(({ x }) => x))).toBeCloseTo(0.25, 12);
    expect(Math.min(...wall.map(({ x }) => x))).toBeCloseTo(-2.75, 12);
  });
});

it("the slope on log-log is the power", () => {
  const xs = [0.1, 0.3, 2, 7];
  expect(
    logLogSlope(
      xs,
      xs.map((x) => 5 * x ** 1.7),
    ),
  ).toBeCloseTo(1.7, 12);
});
