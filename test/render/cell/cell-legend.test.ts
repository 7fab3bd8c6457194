import { describe, expect, it } from "vitest";
import type { CellOutline } from "../../../src/physics/predict/predict-cell.js";
import { jointBands, jointState, niceMagnification } from "../../../src/render/cell/cell-legend.js";
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

const SQUARE = [
  { x: 0, y: 0 },
  { x: 1, y: 0 },
  { x: 1, y: 1 },
  { x: 0, y: 1 },
];
/** A piece whose last corner is drawn `slide` mm further right for each unit of magnification. */
const outline =
  (largestMove: number, slide = 0) =>
  (magnification: number): CellOutline => ({
    magnification,
    largestMove,
    walls: [],
    joints: [],
    pieces: [{ name: "a", corners: [...SQUARE.slice(0, 3), { x: slide * magnification, y: 1 }] }],
  });
const chosen = (worst: number, outlineAt = outline(0), strip = 3): number =>
  niceMagnification({ strip, worst, snugLimit: 0.02, outlineAt });

describe("the magnification of a drawing", () => {
  it("draws the widest gap between 0.3 and 0.8 of a strip wide, by 1, 2 or 5 times a power of ten", () => {
    for (const worst of [0.03, 0.05, 0.08, 0.12, 0.2, 0.33, 0.5, 0.9]) {
      const factor = chosen(worst);
      expect((factor * worst) / 3, String(worst)).toBeGreaterThan(0.3);
      expect((factor * worst) / 3, String(worst)).toBeLessThan(0.8);
      expect([1, 2, 5], String(factor)).toContain(factor / 10 ** Math.floor(Math.log10(factor)));
    }
  });

  it("does not blow up a cell that is closed, and never makes anything smaller", () => {
    expect(chosen(0)).toBe(chosen(0.02));
    expect(chosen(1e-6) * 0.02).toBeLessThan(1.5);
    expect(chosen(20)).toBe(1);
  });

  it("stays small enough that no cut flies off and no piece folds over", () => {
    expect(chosen(0.15, outline(0))).toBe(10);
    expect(chosen(0.15, outline(1.2))).toBe(5);
    // At 5 the last corner has passed the one before it.
    expect(chosen(0.15, outline(0, 0.21))).toBe(2);
  });
});
