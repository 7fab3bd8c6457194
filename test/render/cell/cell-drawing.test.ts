import { describe, expect, it } from "vitest";
import { jointNames } from "../../../src/model/cell/joint-names.js";
import { type CellDrawingInput, cellDrawing } from "../../../src/render/cell/cell-drawing.js";
import { JOINT_STYLE, PALETTE } from "../../../src/render/style.js";
import type { Drawing } from "../../../src/render/svg.js";
import { cornersOf, elementsOf, elementsWith, numbersOf, writtenIn } from "../svg-elements.js";
import { bench, CELL, CLOSED, LIMITS, leaningCell, poorCell } from "./sample-cell.js";

const OPTIONS = { ...LIMITS, unit: "mm" } as const;
const draw = (input: CellDrawingInput) => cellDrawing(input, OPTIONS);
const shapes = (drawing: Drawing, fill: string): Set<unknown> =>
  new Set(elementsWith(drawing, "polygon", "fill", fill).map(({ attributes }) => attributes["data-name"]));
const POOR = poorCell(0.15, 0.05);

describe("the drawing of a cell", () => {
  it("shows every piece and wall once, named", () => {
    const chart = draw(CLOSED);
    expect(shapes(chart, PALETTE.wood)).toEqual(new Set(CELL.pieces.map(({ name }) => name)));
    for (const { name } of CELL.walls) expect(shapes(chart, PALETTE.grid)).toContain(name);
    expect(writtenIn(chart)).toEqual(
      expect.arrayContaining([...CELL.pieces, ...CELL.walls].map(({ name }) => name)),
    );
  });

  it("is to scale: the diagonal is as long beside the scale bar as it is in wood", () => {
    const chart = cellDrawing(CLOSED, { ...OPTIONS, magnification: 0 });
    const corners = elementsWith(chart, "polygon", "data-name", "diagonal").flatMap(cornersOf);
    const apart = corners.flatMap((a) => corners.map((b) => Math.hypot(a.x - b.x, a.y - b.y)));
    const label = elementsOf(chart).findIndex(({ text }) => text === "10 mm");
    // The bar and the ticks at its ends stand before its label.
    const bar = numbersOf(elementsOf(chart)[label - 3]!);
    expect(Math.max(...apart) / (bar.x2! - bar.x1!)).toBeCloseTo((60 * Math.SQRT2) / 10, 2);
  });

  it("states the magnification, the worst joint and its gap", () => {
    const { probes, widestGap, deepestPress } = POOR.prediction;
    const worst = probes.find(({ gap }) => gap === widestGap)!;
    const { cell } = POOR;
    const name = jointNames(cell).short[cell.joints.findIndex((joint) => joint.name === worst.joint)];
    const chart = draw(POOR);
    expect(widestGap).toBeGreaterThan(0.1);
    expect(deepestPress).toBeGreaterThan(0.02);
    expect(writtenIn(chart)).toContain("movements drawn × 10");
    expect(writtenIn(chart)).toContain(`gap ${widestGap.toFixed(2)} mm`);
    expect(writtenIn(chart)).toContain(`press ${deepestPress.toFixed(2)} mm`);
    expect(chart.description).toContain(
      `Widest gap ${widestGap.toFixed(2)} mm at the ${worst.at} of ${name}.`,
    );
    expect(chart.description).toContain("movements 10 times as large");
  });

  it("draws the joints by their states, each counted from its gaps", () => {
    const { probes } = POOR.prediction;
    const reaching = (test: (gap: number) => boolean): Set<string> =>
      new Set(probes.filter(({ gap }) => test(gap)).map(({ joint }) => joint));
    const chart = draw(POOR);
    expect(shapes(chart, JOINT_STYLE.wide.fill)).toEqual(reaching((gap) => gap > 0.1));
    expect(shapes(chart, JOINT_STYLE.pressed.fill)).toEqual(reaching((gap) => gap < -0.02));
    expect(shapes(chart, JOINT_STYLE.open.fill).size).toBeGreaterThan(4);
    const crosses = elementsWith(chart, "path", "stroke", JOINT_STYLE.pressed.stroke);
    // One more in the legend.
    expect(crosses.length - 1).toBe(reaching((gap) => gap < -0.02).size);
  });

  it("calls a closed cell closed, and labels no joint", () => {
    const chart = draw(CLOSED);
    expect(chart.description).toContain("No gap over 0.02 mm.");
    expect(chart.description).toContain("Nothing pressed deeper than 0.02 mm.");
    expect(writtenIn(chart).filter((text) => /^(gap|press) 0/.test(text))).toEqual([]);
    for (const state of ["wide", "open", "pressed"] as const)
      expect(shapes(chart, JOINT_STYLE[state].fill).size, state).toBe(0);
  });

  it("says gaps and scale in the shop's units", () => {
    const chart = cellDrawing(POOR, { ...OPTIONS, unit: "thou" });
    const thou = (POOR.prediction.widestGap / 0.0254).toFixed(1);
    expect(writtenIn(chart)).toContain(`gap ${thou} thou`);
    expect(writtenIn(chart)).toContain("gap over 3.9 thou");
    expect(writtenIn(chart).some((text) => /^\d+(\/\d+)? in$/.test(text))).toBe(true);
    expect(() => cellDrawing(POOR, { ...OPTIONS, unit: "deg" })).toThrow(/mm, in or thou; it is deg/);
  });

  it.each([
    ["corner-90", 45],
    ["corner-45", 67.5],
    ["straightedge", 22.5],
    ["mitre-pair", 22.5],
    ["reversal", 45],
    ["ring", 45],
  ] as const)("shows the bench %s too", (name, jigAngle) => {
    const input = bench(name, jigAngle, 0.8);
    const chart = draw(input);
    expect(shapes(chart, PALETTE.wood)).toEqual(new Set(input.cell.pieces.map((piece) => piece.name)));
    expect(writtenIn(chart)).toContain(`gap ${input.prediction.widestGap.toFixed(2)} mm`);
    const corners = elementsOf(chart, "polygon").flatMap(cornersOf);
    expect(Math.min(...corners.map(({ x }) => x))).toBeGreaterThanOrEqual(0);
    expect(Math.max(...corners.map(({ x }) => x))).toBeLessThanOrEqual(336);
  });

  it("refuses a prediction of another cell", () => {
    const other = { ...CLOSED.prediction, probes: CLOSED.prediction.probes.slice(0, 10) };
    expect(() => draw({ ...CLOSED, prediction: other })).toThrow(/not of this cell.*number 10/);
  });
});

describe("the drawing of a leaning cell", () => {
  const LEANING = leaningCell(0.6);
  const { probes } = LEANING.prediction;
  const worstAt = (side: string, sign: number): number =>
    Math.max(...probes.filter((probe) => probe.side === side).map(({ gap }) => sign * gap));
  const chart = draw(LEANING);
  const [front, back] = sidesOf(chart);

  it("has front and back, named, at one magnification, their gaps with signs", () => {
    expect([front[0], back[0]]).toEqual(["Front", "Back, seen through"]);
    for (const side of [front, back])
      expect(side.filter((text) => text.startsWith("movements drawn × "))).toEqual(["movements drawn × 10"]);
    expect(worstAt("front", -1)).toBeGreaterThan(0.03);
    expect(worstAt("back", 1)).toBeGreaterThan(0.1);
    expect(front).toContain(`press −${worstAt("front", -1).toFixed(2)} mm`);
    expect(back).toContain(`gap +${worstAt("back", 1).toFixed(2)} mm`);
    expect(back.filter((text) => text.startsWith("press"))).toEqual([]);
  });

  it("draws the mitres wide open at the back only, and says so", () => {
    const mitres = ["hinge-1.end-right|hinge-2.end-left", "hinge-3.end-left|hinge-4.end-right"];
    const at = (side: "Front" | "Back, seen through"): Set<unknown> => {
      const all = elementsOf(chart);
      const from = all.findIndex(({ text }) => text === side);
      const to = all.findIndex(({ text }, i) => i > from && text.startsWith("movements drawn"));
      return new Set(
        all
          .slice(from, to)
          .filter(({ name, attributes }) => name === "polygon" && attributes.fill === JOINT_STYLE.wide.fill)
          .map(({ attributes }) => attributes["data-name"]),
      );
    };
    for (const mitre of mitres) expect(at("Back, seen through")).toContain(mitre);
    expect(at("Front").size).toBe(0);
    expect(chart.description).toMatch(/Widest gap 0\.\d\d mm at the (toe|heel) of hinge-\d mitre, back\./);
    expect(chart.description).toContain("Strips 12 mm deep");
    expect(chart.description).toContain("At the front: Joints gaping beyond the limit: 0;");
  });

  it("exchanges the two when the lean is reversed", () => {
    const [one, other] = sidesOf(draw(leaningCell(-0.6)));
    expect(one).toContain(`gap +${worstAt("back", 1).toFixed(2)} mm`);
    expect(other).toContain(`press −${worstAt("front", -1).toFixed(2)} mm`);
  });
});

/** What is written at the front and at the back, from the side's heading on. */
function sidesOf(drawing: Drawing): [string[], string[]] {
  const words = writtenIn(drawing);
  const [front, back] = [words.indexOf("Front"), words.indexOf("Back, seen through")];
  return [
    words.slice(front, back),
    words.slice(
      back,
      words.findIndex((text) => text.startsWith("gap over")),
    ),
  ];
}
