import { describe, expect, it } from "vitest";
import type { CellOutline } from "../../../src/physics/predict/predict-cell.js";
import { niceMagnification } from "../../../src/render/cell/cell-legend.js";

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
    ...{ magnification, largestMove, walls: [], joints: [] },
    pieces: [{ name: "a", corners: [...SQUARE.slice(0, 3), { x: slide * magnification, y: 1 }] }],
  });
const chosen = (worst: number, outlineAt = outline(0), strip = 3): number =>
  niceMagnification({ strip, worst, snugLimit: 0.02, outlineAt });

describe("the magnification of a drawing", () => {
  it("draws the worst gap between 0.3 and 0.8 of a strip wide, by 1, 2 or 5 times a power of ten", () => {
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
