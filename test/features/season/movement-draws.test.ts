import { describe, expect, it } from "vitest";
import { lapTightening } from "../../../src/features/season/movement-draws.js";
import { arrangePattern } from "../../../src/io/patterns/arrange-pattern.js";
import { shippedPattern, shippedPatterns } from "../../../src/io/patterns/find-pattern.js";

/** Width of a slot across a strip at an angle, before and after the strip has grown sideways by a strain: from two points of each of its sides. */
function slotGrows(angle: number, strain: number): number {
  const width = (stretch: number): number => {
    // One side through the origin, the other a unit along the grain from it.
    const run = { x: Math.cos(angle), y: Math.sin(angle) * stretch };
    return Math.abs(run.y) / Math.hypot(run.x, run.y);
  };
  return width(1 + strain) / width(1) - 1;
}

describe("a strip that swells in its lap", () => {
  it.each(shippedPatterns())("outgrows its slot as geometry has it: %s", (pattern) => {
    const { walls } = arrangePattern(shippedPattern(pattern), { opening: 60, strip: 3 }).arrangement!;
    const angle = walls.length === 3 ? Math.PI / 3 : Math.PI / 2;
    const strain = 1e-6;
    expect(lapTightening(walls)).toBeCloseTo((strain - slotGrows(angle, strain)) / strain, 5);
  });

  it("by all of its growth at right angles, by three quarters at 60°", () => {
    const at = (...degrees: number[]) =>
      lapTightening(degrees.map((angle) => ({ normal: (angle * Math.PI) / 180 })));
    expect(at(0, 180, 270, 90)).toBeCloseTo(1, 12);
    expect(at(90, 210, 330)).toBeCloseTo(0.75, 12);
  });
});
