import { describe, expect, it } from "vitest";
import {
  drawingScale,
  type RampPicture,
  rampDrawing,
  STOP_FACE,
  stopDrawing,
} from "../../../../src/features/calibrate/card/drawings.js";
import { jobCell } from "../../../../src/model/job/job-cell.js";
import type { Html } from "../../../../src/render/html.js";
import { cornersOf, elementsOf, numbersOf } from "../../../render/svg-elements.js";
import { sampleJob } from "./sample-job.js";

const DEGREE = Math.PI / 180;

/** Corners of the outlines of a kind, y turned to run up. */
const outlinesOf = (svg: Html, kind: string): [number, number][][] =>
  elementsOf(svg, "polygon")
    .filter(({ attributes }) => attributes.class === kind)
    .map((outline) => cornersOf(outline).map(({ x, y }): [number, number] => [x, -y]));

/** Ends of the lines of a kind. */
const linesOf = (svg: Html, kind: string) =>
  elementsOf(svg, "line")
    .filter(({ attributes }) => attributes.class === kind)
    .map((line) => numbersOf(line) as Record<"x1" | "y1" | "x2" | "y2", number>);

const RAMP: RampPicture = {
  jig: "point-67",
  ramp: 67.5 * DEGREE,
  strip: 4,
  base: 80,
  leaves: [],
  steeper: true,
  rampText: "67.5°",
  baseText: "80 mm",
  leavesText: "",
};
/** Direction of the longest edge of an outline, from +x. */
function longestEdge(corners: readonly [number, number][]): number {
  const edges = corners.map(([x, y], i) => {
    const [x2, y2] = corners[(i + 1) % corners.length]!;
    return { length: Math.hypot(x2 - x, y2 - y), angle: Math.atan((y2 - y) / (x2 - x)) };
  });
  return edges.sort((a, b) => b.length - a.length)[0]!.angle;
}

describe("the drawing of a ramp", () => {
  it.each([22.5, 45, 67.5])("has the strip lean from the square cut by the %f° of the label", (degrees) => {
    const svg = rampDrawing({ ...RAMP, ramp: degrees * DEGREE }, 1);
    const [strip] = outlinesOf(svg, "strip");
    const [waste] = outlinesOf(svg, "waste");
    for (const shape of [strip!, waste!])
      expect(Math.abs(longestEdge(shape) / DEGREE - (90 - degrees))).toBeLessThan(degrees === 67.5 ? 1 : 0.5);
  });

  it.each([
    [true, 1],
    [false, -1],
  ])("turns it as the leaves do, magnified alike (steeper: %s)", (steeper, sign) => {
    const magnified = 4;
    const svg = rampDrawing({ ...RAMP, leaves: [0.1, 0.8], steeper }, magnified);
    const turn = Math.atan2(sign * 0.9 * magnified, 80);
    const [bar] = outlinesOf(svg, "bar");
    expect(longestEdge(bar!)).toBeCloseTo(turn, 3);
    const [blade] = linesOf(svg, "blade");
    expect(Math.atan2(-(blade!.y2 - blade!.y1), blade!.x2 - blade!.x1)).toBeCloseTo(turn, 3);
  });

  it("puts the leaves under the end that they raise, each as thick as it is", () => {
    const leaves = (steeper: boolean) =>
      outlinesOf(rampDrawing({ ...RAMP, leaves: [0.2, 0.8], steeper }, 2), "leaf");
    const xs = (shapes: [number, number][][]) => shapes.flat().map(([x]) => x);
    expect(Math.min(...xs(leaves(true)))).toBeGreaterThan(Math.max(...xs(leaves(false))));
    const thickness = leaves(true).map(
      (leaf) => Math.max(...leaf.map(([, y]) => y)) - Math.min(...leaf.map(([, y]) => y)),
    );
    // 80 mm of ramp stand on 36 mm of paper; the leaves are drawn twice as thick.
    expect(thickness[0]).toBeCloseTo(0.2 * 2 * (36 / 80), 2);
    expect(thickness[1]).toBeCloseTo(0.8 * 2 * (36 / 80), 2);
  });

  it("has no shim, no base and no fixed end when it is left as it is", () => {
    const drawing = rampDrawing(RAMP, 5);
    const svg = String(drawing);
    expect(outlinesOf(drawing, "leaf")).toEqual([]);
    expect(svg).not.toMatch(/80 mm|<circle/);
    expect(svg).toMatch(/<title>Ramp of point-67, 67\.5° from a square cut, no shim\.<\/title>/);
  });
});

describe("the drawing of a stop", () => {
  const job = sampleJob("mm");
  const { pieces } = jobCell(job);
  const scale = drawingScale(84.8528, [0.25], []);
  const of = (kind: string, group: string, change = 0) => {
    const piece = pieces.find((one) => one.kind === kind)!;
    const cut = piece.cuts.find((one) => one.group === group)!;
    const words = { setUp: "s", settingText: "44.30 mm", changeText: "0.25 mm" };
    return { piece, cut, svg: stopDrawing({ ...words, strip: 3, piece, cut, change }, scale) };
  };

  it.each([
    ["diagonal", "diagonal.end", 2],
    // Once on the piece, once in the close-up of its end.
    ["hinge", "hinge.mitre", 2],
    ["hinge", "hinge.seat", 2],
    ["key", "key.end", 2],
  ])("shows a %s to scale with its tip at the stop, and the %s in bold", (kind, group, cuts) => {
    const { svg, piece, cut } = of(kind, group);
    const [strip] = outlinesOf(svg, "strip");
    const xs = strip!.map(([x]) => x);
    expect(Math.min(...xs)).toBeCloseTo(STOP_FACE, 2);
    expect((Math.max(...xs) - Math.min(...xs)) / scale.length).toBeCloseTo(piece.length, 1);
    expect(linesOf(svg, "cut")).toHaveLength(cuts);
    const dimension = linesOf(svg, "thin").find(({ x1, x2 }) => x2 - x1 > 1)!;
    expect((dimension.x2 - dimension.x1) / scale.length).toBeCloseTo(piece.length / 2 + cut.reach, 1);
  });

  it("tells a hinge's mitre from its seat by a close-up of the end with the other face in bold", () => {
    const closeUp = (group: string) => {
      const { svg } = of("hinge", group);
      expect(String(svg)).toContain(`>${group.split(".")[1]}</text>`);
      return linesOf(svg, "cut")[1]!;
    };
    const [mitre, seat] = [closeUp("hinge.mitre"), closeUp("hinge.seat")];
    const middle = ({ y1, y2 }: { y1: number; y2: number }): number => (y1 + y2) / 2;
    expect(Math.abs(middle(mitre) - middle(seat))).toBeGreaterThan(1);
    expect(String(of("key", "key.end").svg)).not.toContain(">point</text>");
  });

  it.each([0.25, -0.15])(
    "moves it away from the cut to make pieces longer, towards it to make them shorter (%f mm)",
    (change) => {
      const [ghost] = linesOf(of("key", "key.end", change).svg, "ghost");
      expect(ghost!.x1 - STOP_FACE).toBeCloseTo(-change * scale.move, 2);
      expect(linesOf(of("key", "key.end").svg, "ghost")).toEqual([]);
    },
  );
});

describe("the scale of the drawings", () => {
  it("magnifies by a round number as far as there is room", () => {
    const { length, move, moveMagnified, leafMagnified } = drawingScale(80, [0.1, -0.35], [0.9, 0.2]);
    expect(move).toBeCloseTo(length * moveMagnified, 12);
    expect(0.35 * move).toBeLessThanOrEqual(5);
    expect(0.35 * move).toBeGreaterThan(3.3);
    expect(leafMagnified).toBe(4);
    for (const factor of [moveMagnified, leafMagnified]) expect(String(factor)).toMatch(/^[1-8]0*$/);
  });

  it("magnifies nothing where nothing moves, and never makes a move smaller than it is", () => {
    expect(drawingScale(80, [], [])).toMatchObject({ moveMagnified: 1, leafMagnified: 1 });
    expect(drawingScale(80, [40], [0]).moveMagnified).toBe(1);
  });
});
