import { Resvg } from "@resvg/resvg-js";
import { expect, it } from "vitest";
import { beside, framedDrawing, label, legendBlock, rect, stacked } from "../../src/render/svg.js";
import { elementsOf, writtenIn } from "./svg-elements.js";

const EVIL = `<script>alert(1)</script> "&'`;
const block = (width: number, height: number) => ({ width, height, content: rect(0, 0, width, height, {}) });

it("a drawing is one SVG document that any reader takes, its words inert and complete", () => {
  const frame = { title: EVIL, notes: [EVIL], description: `${EVIL}.` };
  const drawing = framedDrawing(frame, [
    { ...block(200, 20), content: label(EVIL, { x: 0, y: 12 }) },
    legendBlock([{ text: EVIL, swatch: () => "" }], 200),
  ]);
  expect(drawing.svg).not.toContain("<script");
  expect(elementsOf(drawing, "title")[0]?.text).toBe(EVIL);
  expect(elementsOf(drawing, "desc")[0]?.text).toBe(`${EVIL}.`);
  expect(writtenIn(drawing).join("").replaceAll(" ", "")).toBe(EVIL.replaceAll(" ", "").repeat(4));
  const { width, height } = new Resvg(drawing.svg).render();
  expect([width, String(height)]).toEqual([224, / height="(\d+)"/.exec(drawing.svg)![1]]);
});

it("blocks take their places, and one of no height takes none", () => {
  expect(beside([block(10, 5), block(20, 8)], 3)).toMatchObject({ width: 33, height: 8 });
  const column = stacked([block(10, 5), block(30, 0), block(20, 8)], 3);
  expect(column).toMatchObject({ width: 20, height: 16 });
  expect(String(column.content)).toContain("translate(0 8)");
});
