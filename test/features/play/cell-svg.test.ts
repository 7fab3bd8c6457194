import { describe, expect, it } from "vitest";
import { cellSvg } from "../../../src/features/play/cell-svg.js";
import { jobToPlay } from "../../../src/features/play/live-page.js";
import { play, playCell } from "../../../src/features/play/play-cell.js";
import { sizeOf, slidersOf } from "../../../src/features/play/play-job.js";
import { SIZE } from "../../../src/render/style.js";
import { textWidth } from "../../../src/render/text-layout.js";
import { elementsOf, numbersOf } from "../../render/svg-elements.js";

const job = jobToPlay();
const cell = playCell(job);
const sliders = slidersOf(job);
const cases = sliders
  .filter(({ group }) => group !== "Ramps out of square to their beds")
  .flatMap((slider) => [1, -1].map((sign) => [slider.label, sign * slider.most] as const));

interface Box {
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}
const apart = (a: Box, b: Box): boolean =>
  a.right < b.left || b.right < a.left || a.bottom < b.top || b.bottom < a.top;

describe("the sizes written into the cell of the page to play with", () => {
  const drawn = cases.map(([label, value]) => {
    const sizes = sliders.map((slider) => (slider.label === label ? sizeOf(slider, value) : 0));
    const limits = { gapLimit: job.limits.gap, snugLimit: job.limits.snug };
    const { inside } = cellSvg(cell.cell, play(cell, sizes), { ...limits, unit: "mm", magnification: null });
    const labels = elementsOf(inside, "text").filter(({ text }) => /^(gap|press) /.test(text));
    const boxes = labels.map(({ text, attributes }): Box => {
      const half = textWidth(text, SIZE.text, "bold") / 2;
      const [x, y] = [Number(attributes.x), Number(attributes.y)];
      return { left: x - half, right: x + half, top: y - SIZE.text, bottom: y + 2 };
    });
    return { label, value, inside, boxes };
  });

  it("are there wherever something is off, and never one over the other", () => {
    expect(drawn.filter(({ boxes }) => boxes.length === 2).length).toBeGreaterThan(2);
    for (const { boxes } of drawn) {
      expect(boxes.length).toBeGreaterThan(0);
      if (boxes.length === 2) expect(apart(boxes[0]!, boxes[1]!)).toBe(true);
    }
  });

  it("never stand over the name of a wall", () => {
    for (const { inside, boxes } of drawn) {
      const level = elementsOf(inside, "text").filter(({ text }) => /^wall-(top|bottom)$/.test(text));
      expect(level).toHaveLength(2);
      for (const { text, attributes } of level) {
        const half = textWidth(text, SIZE.tiny) / 2;
        const [x, y] = [Number(attributes.x), Number(attributes.y)];
        const name = { left: x - half, right: x + half, top: y - SIZE.tiny, bottom: y };
        for (const box of boxes) expect(apart(box, name)).toBe(true);
      }
    }
  });

  it("have short lines to their joints, which no one takes for a strut", () => {
    for (const { inside } of drawn) {
      const leaders = elementsOf(inside, "line")
        .filter(({ attributes }) => ["#B4430C", "#0F3C6B"].includes(attributes.stroke ?? ""))
        .filter(({ attributes }) => !("data-name" in attributes))
        .map(numbersOf);
      for (const { x1, y1, x2, y2 } of leaders) expect(Math.hypot(x2! - x1!, y2! - y1!)).toBeLessThan(120);
    }
  });
});
