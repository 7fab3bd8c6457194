import { describe, expect, it } from "vitest";
import { rotate } from "../../../src/core/geometry.js";
import { arrangePattern } from "../../../src/io/patterns/arrange-pattern.js";
import { shippedPattern } from "../../../src/io/patterns/find-pattern.js";
import type { Wall } from "../../../src/model/cell/arrangement.js";
import { openingShape } from "../../../src/model/cell/opening-shape.js";

const wallsOf = (pattern: string): readonly Wall[] =>
  arrangePattern(shippedPattern(pattern), { opening: 60, strip: 3 }).arrangement!.walls;
const turned = (walls: readonly Wall[], by: number): Wall[] =>
  walls.map((wall) => ({ ...wall, normal: wall.normal + by, middle: rotate(wall.middle, by) }));

describe("the shape of an opening", () => {
  it("is told of rectangles and triangles with a level side", () => {
    expect(openingShape(wallsOf("asanoha-rectangular"))).toEqual({
      kind: "upright",
      width: 60,
      height: 45,
      walls: ["wall-left", "wall-right", "wall-top", "wall-bottom"],
    });
    const up = openingShape(wallsOf("inner-triangle"));
    expect(up).toMatchObject({ kind: "triangular", walls: ["wall-bottom", "wall-right", "wall-left"] });
    expect(up?.kind === "triangular" && up.side).toBeCloseTo(60, 9);
    expect(openingShape(turned(wallsOf("inner-triangle"), Math.PI))).toMatchObject({
      walls: ["wall-bottom", "wall-right", "wall-left"],
    });
  });

  it("is none of these for an opening that leans, or has more walls", () => {
    expect(openingShape(turned(wallsOf("diamond"), 0.1))).toBeNull();
    expect(openingShape(turned(wallsOf("inner-triangle"), Math.PI / 6))).toBeNull();
    expect(openingShape(wallsOf("diamond").slice(1))).toBeNull();
  });
});
