import { describe, expect, it } from "vitest";
import { asanohaSquare } from "../../../src/model/cell/asanoha-square.js";
import { patternDrawing } from "../../../src/render/cell/pattern-drawing.js";

const SQUARE = asanohaSquare({ opening: 60, strip: 3 });

interface Row {
  readonly shape?: string;
  readonly x: number;
  readonly y: number;
  readonly text?: string;
}
/** Every layer of the drawing's panel: its mark and its rows. */
function layersOf(spec: unknown): { mark: { type: string; shape?: string }; rows: readonly Row[] }[] {
  const panels = (spec as { vconcat: { layer: { mark: { type: string }; data: { values: Row[] } }[] }[] })
    .vconcat;
  return panels.at(-1)!.layer.map(({ mark, data }) => ({ mark, rows: data.values }));
}

describe("the drawing of a pattern", () => {
  it("is to scale: the diagonal's outline is as long as it is, and every piece is there", () => {
    const rows = layersOf(patternDrawing(SQUARE)).flatMap((layer) => layer.rows);
    for (const { name } of SQUARE.pieces) expect(rows.some(({ shape }) => shape === name)).toBe(true);
    const span = (shape: string): number => {
      const own = rows.filter((row) => row.shape === shape);
      const far = own.flatMap((a) => own.map((b) => Math.hypot(a.x - b.x, a.y - b.y)));
      return Math.max(...far);
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
    const layers = layersOf(patternDrawing(SQUARE, { marks }));
    const rings = layers.filter(({ mark }) => mark.type === "point").flatMap(({ rows }) => rows);
    expect(rings).toHaveLength(3);
    // 10 mm apart in a drawing of 69 mm across 336 px.
    expect(rings[1]!.x - rings[0]!.x).toBeCloseTo((10 * 336) / 69, 1);
    const numbers = layers.flatMap(({ rows }) => rows).filter(({ text }) => text === "1" || text === "2");
    // Once as a rim, once as the number itself.
    expect(numbers.map(({ text }) => text).sort()).toEqual(["1", "1", "2", "2"]);
  });

  it("says what it shows, and takes a title and notes", () => {
    const { title, description } = patternDrawing(SQUARE, { title: "Mine", notes: ["1: it does not meet."] });
    expect(title.text).toEqual(["Mine"]);
    expect(description).toBe("Mine: 7 pieces to scale. 1: it does not meet.");
    expect(patternDrawing(SQUARE).title.text).toEqual(["asanoha-square"]);
  });

  it("leaves out a piece that its own cuts take away", () => {
    const [diagonal, hinge, ...rest] = SQUARE.pieces;
    const gone = { ...hinge!, cuts: hinge!.cuts.map((cut) => ({ ...cut, reach: -50 })) };
    const rows = layersOf(patternDrawing({ ...SQUARE, pieces: [diagonal!, gone, ...rest] })).flatMap(
      (l) => l.rows,
    );
    expect(rows.some(({ shape }) => shape === "hinge-1")).toBe(false);
    expect(rows.some(({ shape }) => shape === "hinge-2")).toBe(true);
  });
});
