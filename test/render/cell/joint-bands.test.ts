import { describe, expect, it } from "vitest";
import { jointBands, jointState } from "../../../src/render/cell/cell-legend.js";
import { LIMITS } from "./sample-cell.js";

const joint = { name: "a|b", toe: { x: 0, y: 0 }, heel: { x: 10, y: 0 } };
/** The first face along the x axis; its mate above it, opening from `toe` to `heel`, drawn ten times as large. */
const faces = (toe: number, heel: number) => ({
  first: { from: { x: 0, y: 0 }, to: { x: 10, y: 0 } },
  mate: { from: { x: 12, y: 10 * heel }, to: { x: 0, y: 10 * toe } },
});
const bandsOf = (toe: number, heel: number) => jointBands(joint, faces(toe, heel), { toe, heel }, LIMITS);

describe("the states of a joint", () => {
  it("change at the limits", () => {
    expect([-0.021, -0.02, 0.02, 0.021, 0.1, 0.101].map((gap) => jointState(gap, LIMITS))).toEqual([
      ...["pressed", "closed", "closed", "open", "open", "wide"],
    ]);
  });

  it("are one where the gap is even", () => {
    expect(bandsOf(0.05, 0.05).map(({ state }) => state)).toEqual(["open"]);
    expect(bandsOf(0, 0).map(({ state }) => state)).toEqual(["closed"]);
  });

  it("follow each other from toe to heel, parted where the gap passes a limit", () => {
    const bands = bandsOf(-0.1, 0.3);
    expect(bands.map(({ state }) => state)).toEqual(["pressed", "closed", "open", "wide"]);
    // From −0.1 to 0.3 over 10 mm: −0.02 at 2 mm, 0.02 at 3 mm, 0.1 at 5 mm.
    const ends = bands.map(({ corners }) => [corners[0].x, corners[1].x]);
    const wanted = [0, 2, 3, 5, 10];
    for (const [i, [from, to]] of ends.entries()) {
      expect(from).toBeCloseTo(wanted[i]!, 9);
      expect(to).toBeCloseTo(wanted[i + 1]!, 9);
    }
    expect(bandsOf(0.3, -0.1).map(({ state }) => state)).toEqual(["wide", "open", "closed", "pressed"]);
  });

  it("lie between the faces, over the stretch where both are", () => {
    const [band] = bandsOf(0.05, 0.05);
    expect(band!.corners.map(({ x, y }) => [x, y])).toEqual([
      ...[
        [0, 0],
        [10, 0],
        [10, 0.5],
        [0, 0.5],
      ],
    ]);
  });
});
