import { describe, expect, it } from "vitest";
import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { patternDrawing } from "../../../src/render/cell/pattern-drawing.js";
import { PALETTE } from "../../../src/render/style.js";
import type { Drawing } from "../../../src/render/svg.js";
import { cornersOf, elementsOf, elementsWith, numbersOf, writtenIn } from "../svg-elements.js";

const SQUARE = asanohaSquare({ opening: 60, strip: 3 });

const pieces = (drawing: Drawing): Map<string, ReturnType<typeof cornersOf>> =>
  new Map(
    elementsWith(drawing, "polygon", "fill", PALETTE.wood).map((shape) => [
      shape.attributes["data-name"]!,
      cornersOf(shape),
    ]),
  );

describe("the drawing of a pattern", () => {
  it("is to scale: the diagonal's outline is as long as it is, and every piece is there", () => {
    const drawn = pieces(patternDrawing(SQUARE));
    expect([...drawn.keys()]).toEqual(SQUARE.pieces.map(({ name }) => name));
    const span = (name: string): number => {
      const own = drawn.get(name)!;
      return Math.max(...own.flatMap((a) => own.map((b) => Math.hypot(a.x - b.x, a.y - b.y))));
    };
    expect(span("diagonal") / span("hinge-1")).toBeCloseTo(
      SQUARE.pieces[0]!.length / SQUARE.pieces[1]!.length,
      2,
    );
  });

  it("rings every mark, and numbers each once", () => {
    const marks = [
      { at: { x: 10, y: 10 }, label: "1" },
      { at: { x: 20, y: 10 }, label: "1" },
      { at: { x: 50, y: 50 }, label: "2" },
    ];
    const drawing = patternDrawing(SQUARE, { marks });
    const rings = elementsOf(drawing, "circle").map(numbersOf);
    expect(rings).toHaveLength(3);
    // 10 mm apart in a drawing of 69 mm across 336 px.
    expect(rings[1]!.cx! - rings[0]!.cx!).toBeCloseTo((10 * 336) / 69, 1);
    expect(writtenIn(drawing).filter((text) => /^\d$/.test(text))).toEqual(["1", "2"]);
  });

  it("says what it shows, and takes a title and notes", () => {
    const { title, description } = patternDrawing(SQUARE, { title: "Mine", notes: ["1: it does not meet."] });
    expect(title).toBe("Mine");
    expect(description).toBe("Mine: 7 pieces to scale. 1: it does not meet.");
    expect(patternDrawing(SQUARE).title).toBe("asanoha-square");
  });

  it("leaves out a piece that its own cuts take away", () => {
    const [diagonal, hinge, ...rest] = SQUARE.pieces;
    const gone = { ...hinge!, cuts: hinge!.cuts.map((cut) => ({ ...cut, reach: -50 })) };
    const drawn = pieces(patternDrawing({ ...SQUARE, pieces: [diagonal!, gone, ...rest] }));
    expect(drawn.has("hinge-1")).toBe(false);
    expect(drawn.has("hinge-2")).toBe(true);
  });
});
