import { describe, expect, it } from "vitest";
import { overlapDepth } from "../../../src/core/geometry.js";
import { clipPolygon, placeLabel, rectangle } from "../../../src/render/cell/labels.js";
import { polygonArea } from "../../core/polygon-area.js";

const VIEW = { width: 300, height: 300 };
const request = { at: { x: 150, y: 150 }, width: 80, height: 16 };

describe("a label's place", () => {
  it("is free of what stands around it, and inside the view", () => {
    // Free only below.
    const walls = [rectangle(150, 60, 300, 120), rectangle(50, 150, 90, 200), rectangle(250, 150, 90, 200)];
    const { x, y } = placeLabel(request, { shapes: walls, labels: [] }, VIEW);
    const label = rectangle(x, y, 80, 16);
    for (const wall of walls) expect(overlapDepth(label, wall)).toBeLessThanOrEqual(1e-9);
    expect(y).toBeGreaterThan(150);
    for (const corner of label) {
      expect(Math.min(corner.x, corner.y)).toBeGreaterThanOrEqual(0);
      expect(Math.max(corner.x, corner.y)).toBeLessThanOrEqual(300);
    }
  });

  it("is over a shape before it is over another label, where nothing is free", () => {
    const everywhere = rectangle(150, 150, 300, 300);
    const first = placeLabel(request, { shapes: [everywhere], labels: [] }, VIEW);
    const taken = rectangle(first.x, first.y, 80, 16);
    const second = placeLabel(request, { shapes: [everywhere], labels: [taken] }, VIEW);
    expect(overlapDepth(rectangle(second.x, second.y, 80, 16), taken)).toBeLessThanOrEqual(1e-9);
  });

  it("is near when nothing is in the way, and its leader ends at its rim", () => {
    const { x, y, rimX, rimY } = placeLabel(
      request,
      { shapes: [rectangle(150, 150, 10, 10)], labels: [] },
      VIEW,
    );
    expect(Math.hypot(x - 150, y - 150)).toBeLessThan(60);
    const onRim = Math.max(Math.abs(rimX - x) / 40, Math.abs(rimY - y) / 8);
    expect(onRim).toBeCloseTo(1, 9);
  });
});

describe("a polygon cut to a box", () => {
  it("keeps what is inside", () => {
    const box = { left: 0, right: 10, bottom: 0, top: 10 };
    const square = rectangle(10, 10, 8, 8);
    expect(Math.abs(polygonArea(clipPolygon(square, box)))).toBeCloseTo(16, 9);
    expect(clipPolygon(rectangle(5, 5, 2, 2), box)).toHaveLength(4);
    expect(clipPolygon(rectangle(50, 5, 2, 2), box)).toEqual([]);
  });
});
