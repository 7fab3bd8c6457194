import { describe, expect, it } from "vitest";
import { binGaps, gapDistribution, gapEdges } from "../../../src/render/charts/gap-distribution.js";
import { PALETTE } from "../../../src/render/style.js";
import { axisTitlesOf, layersOf, legendOf, panelsOf, rowsOf, signsOf, wordsOf } from "./charts-of.js";

const BEFORE = [0.05, 0.12, 0.13, 0.18];
const AFTER = [0.02, 0.05, 0.06, 0.11];
const edges = gapEdges([BEFORE, AFTER], { gapLimit: 0.1 });
const input = {
  before: { ...binGaps(BEFORE, edges), says: "25 % close" },
  after: { ...binGaps(AFTER, edges), says: "75 % close" },
  gapLimit: 0.1,
};

describe("edges and steps", () => {
  it("start at zero, are equal, take the limit in as an edge and are not too many", () => {
    for (const gapLimit of [0.1, 0.1016, 0.5, 0.01]) {
      const edges = gapEdges([BEFORE], { gapLimit });
      expect(edges[0]).toBe(0);
      expect(Math.min(...edges.map((edge) => Math.abs(edge - gapLimit)))).toBeLessThan(1e-12);
      expect(edges.length).toBeLessThanOrEqual(42);
      expect(edges.at(-1)).toBeGreaterThanOrEqual(0.18);
      const widths = edges.slice(1).map((edge, i) => edge - edges[i]!);
      expect(Math.max(...widths) - Math.min(...widths)).toBeLessThan(1e-9);
    }
  });

  it("count every gap once; a gap on the limit is within it", () => {
    const { shares, beyond } = binGaps([0, 0.1, 0.1, 0.11, 9], [0, 0.05, 0.1, 0.15]);
    expect(shares).toEqual([0.2, 0.4, 0.2]);
    expect(beyond).toBe(0.2);
  });

  it("leave out the largest few in a thousand and say so", () => {
    const samples = [...Array.from({ length: 999 }, (_, i) => i / 10_000), 5];
    const edges = gapEdges([samples], { gapLimit: 0.1 });
    expect(edges.at(-1)).toBeLessThan(0.2);
    expect(binGaps(samples, edges).beyond).toBe(0.001);
  });

  it("refuse no samples and no limit", () => {
    expect(() => gapEdges([], { gapLimit: 0.1 })).toThrow(/no simulated gaps/);
    expect(() => gapEdges([BEFORE], { gapLimit: 0 })).toThrow(/greater than zero; it is 0 mm/);
    expect(() => binGaps([], [0, 1])).toThrow(/no simulated gaps/);
  });
});

describe("the chart of gaps", () => {
  const chart = gapDistribution(input, { unit: "mm" });

  it("names the limit, both spreads and the units", () => {
    expect(legendOf(chart)).toEqual(["as it is: 25 % close", "after the moves: 75 % close"]);
    expect(wordsOf(chart)).toEqual(["limit 0.10 mm"]);
    expect(axisTitlesOf(chart)).toEqual(["Widest gap of a cell (mm)", "Cells in each step of 0.005 mm (%)"]);
  });

  it("steps through the shares in percent", () => {
    const area = layersOf(chart).find(({ mark }) => mark.type === "area")!;
    expect(area.mark.interpolate).toBe("step-after");
    const values = area.data.values.filter(({ meaning }) => meaning === "as it is: 25 % close");
    expect(values).toHaveLength(edges.length);
    const share = (wanted: number): unknown => values.findLast(({ gap }) => Number(gap) < wanted)!.share;
    expect([0.05, 0.12, 0.13, 0.18, 0.03].map(share)).toEqual([25, 25, 25, 25, 0]);
  });

  it("stands the limit where it is, in the unit asked for", () => {
    const limit = (unit: "mm" | "thou"): unknown =>
      layersOf(gapDistribution(input, { unit })).find(
        ({ mark }) => mark.type === "rule" && mark.color === PALETTE.attention,
      )!.data.values[0]!.gap;
    expect(limit("mm")).toBe(0.1);
    expect(limit("thou")).toBeCloseTo(0.1 / 0.0254, 4);
  });

  it("shows one spread when nothing is to be moved, and tells the two apart by line as well as colour", () => {
    const [before, after] = signsOf(chart, "strokeDash");
    expect(before).not.toEqual(after);
    const alone = gapDistribution({ ...input, after: null }, { unit: "mm" });
    expect(legendOf(alone)).toEqual(["as it is: 25 % close"]);
    expect(rowsOf(alone, "after the moves: 75 % close")).toEqual([]);
  });

  it("refuses spreads that cannot be compared, and angles", () => {
    const other = binGaps(AFTER, [0, 0.1, 0.2]);
    expect(() => gapDistribution({ ...input, after: other }, { unit: "mm" })).toThrow(/same edges/);
    expect(() => gapDistribution(input, { unit: "deg" })).toThrow(/mm, in or thou; it is deg/);
    const broken = { edges: [0, 1], shares: [0.5, 0.5], beyond: 0 };
    expect(() => gapDistribution({ ...input, before: broken }, { unit: "mm" })).toThrow(
      /one edge more.*2 and 2/,
    );
  });

  it("has four marks or more on its axis, at round figures, in either unit", () => {
    for (const unit of ["mm", "thou"] as const)
      for (const gapLimit of [0.02, 0.08, 0.1016, 0.5]) {
        const sample = [[0.3 * gapLimit, 1.2 * gapLimit]];
        const wide = gapEdges(sample, { gapLimit });
        const spread = binGaps(sample[0]!, wide);
        const [first] = layersOf(gapDistribution({ before: spread, after: null, gapLimit }, { unit }));
        const { values } = first!.encoding.x!.axis as unknown as { values: number[] };
        expect(values.length).toBeGreaterThanOrEqual(4);
        expect(values.length).toBeLessThanOrEqual(11);
        expect(values[0]).toBe(0);
        const step = values[1]!;
        expect([1, 2, 5]).toContain(Number((step / 10 ** Math.floor(Math.log10(step) + 1e-9)).toFixed(6)));
        for (const [k, value] of values.entries()) expect(value).toBeCloseTo(k * step, 9);
      }
  });

  it("has the presses below the gaps with their own limit where they are given", () => {
    const presses = gapEdges([BEFORE], { gapLimit: 0.04 });
    const both = gapDistribution(
      { ...input, press: { before: binGaps(BEFORE, presses), after: binGaps(AFTER, presses), limit: 0.04 } },
      { unit: "mm" },
    );
    expect(panelsOf(both)).toHaveLength(2);
    expect(wordsOf(both)).toEqual(["limit 0.10 mm", "snug limit 0.04 mm"]);
    expect(axisTitlesOf(both)).toContain("Deepest press of a cell (mm)");
    expect(legendOf(both)).toEqual(legendOf(chart));
    expect(both.description).toContain("Snug limit 0.04 mm.");
  });
});
