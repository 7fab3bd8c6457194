import { describe, expect, it } from "vitest";
import { cellDrawing } from "../../../src/render/cell/cell-drawing.js";
import { budgetBars } from "../../../src/render/charts/budget-bars.js";
import { type ChartSpec, chartLabels } from "../../../src/render/charts/chart-spec.js";
import { curvesChart } from "../../../src/render/charts/curves-chart.js";
import { drawChart } from "../../../src/render/charts/draw-chart.js";
import { estimatesChart } from "../../../src/render/charts/estimates-chart.js";
import { binGaps, gapDistribution, gapEdges } from "../../../src/render/charts/gap-distribution.js";
import { readingsChart } from "../../../src/render/charts/readings-chart.js";
import { residualsChart } from "../../../src/render/charts/residuals-chart.js";
import { runChart } from "../../../src/render/charts/run-chart.js";
import { statesChart } from "../../../src/render/charts/states-chart.js";
import type { Drawing } from "../../../src/render/svg.js";
import { textWidth } from "../../../src/render/text-layout.js";
import { bench, CLOSED, LIMITS, leaningCell, poorCell } from "../cell/sample-cell.js";
import { READINGS } from "./samples.js";

const LONG =
  "a label that goes on for a good while, as labels from a shop's own table of trials sometimes do";
const GAPS = [0.05, 0.12, 0.13, 0.18, 0.9];
const EDGES = gapEdges([GAPS], { gapLimit: 0.1 });
const BINNED = { ...binGaps(GAPS, EDGES), says: "25 % close" };
const estimate = {
  axis: "Cuts a sharper (+) or blunter (−) point than its label",
  estimate: -0.0123,
  low: -0.2,
  high: 0.1,
  priorLow: -9,
  priorHigh: 9,
};

const CHARTS: Record<string, (width: number) => ChartSpec | Drawing> = {
  "a poor cell": (width) => cellDrawing(poorCell(0.15, 0.05), { ...LIMITS, unit: "mm", width }),
  "a closed cell": (width) => cellDrawing(CLOSED, { ...LIMITS, unit: "in", width }),
  "a leaning cell": (width) => cellDrawing(leaningCell(0.6), { ...LIMITS, unit: "mm", width }),
  "a leaning cell in thou": (width) => cellDrawing(leaningCell(-0.6), { ...LIMITS, unit: "thou", width }),
  "a bench": (width) => cellDrawing(bench("corner-45", 67.5, 0.8), { ...LIMITS, unit: "thou", width }),
  "a batch": (width) =>
    runChart(
      {
        rows: Array.from({ length: 30 }, (_, i) => ({
          id: i === 4 ? "a piece with a long name" : `h${i}`,
          average: 44 + 0.001 * i,
          value: 44 + (i % 7) / 90,
        })),
        target: 44,
        single: { lower: 43.95, upper: 44.05 },
        moving: { lower: 43.98, upper: 44.02 },
      },
      { unit: "in", axisTitle: "Length of the piece at its longest, from point to point", width },
    ),
  "a year": (width) =>
    statesChart(
      ["January", "February", "March", "April", "May", "June", "July", "August", "September"],
      [
        {
          title: "Room in the frame, less than zero where the panel is tight in its groove (mm)",
          values: [-3, -2, 1, 2, 0, 1, 2, 3, 4].map((value) => ({ value, low: value - 1, high: value + 1 })),
          level: { value: -2.5, label: "the room in the groove", kind: "limit" },
        },
        {
          title: "Cells that close (%)",
          values: [-3, -2, 1, 2, 0, 1, 2, 3, 4].map((value) => ({ value: 10 * value })),
          good: { low: -20, high: 10, label: LONG },
        },
      ],
      { title: "A year", notes: [LONG], names: { line: "expected", band: "nine years of ten" }, width },
    ),
  readings: (width) => readingsChart(READINGS, { width }),
  "readings with long labels": (width) =>
    readingsChart(
      READINGS.map((row) => ({ ...row, label: LONG, group: LONG, outlier: true })),
      { width, title: "A title that is quite a bit longer than the ones the charts have of themselves" },
    ),
  estimates: (width) =>
    estimatesChart(
      [
        { ...estimate, name: LONG, unit: "arcmin" },
        { ...estimate, name: "stop", unit: "in" },
        { ...estimate, name: "stop", unit: "mm", low: Number.NEGATIVE_INFINITY },
      ],
      { width },
    ),
  gaps: (width) => gapDistribution({ before: BINNED, after: BINNED, gapLimit: 0.1 }, { unit: "in", width }),
  "gaps all far beyond the limit": (width) =>
    gapDistribution({ before: BINNED, after: null, gapLimit: 0.899 }, { unit: "thou", width }),
  curves: (width) =>
    curvesChart(
      ["first order", "exact order", LONG].map((name, i) => ({
        name,
        points: [-1, 0.2, 1].map((x) => ({ x: x / 57, y: (i + 1) * x * x * 0.03 })),
        as: i === 1 ? ("dots" as const) : ("line" as const),
      })),
      {
        title: "Gap over angle",
        x: { title: "Angle error, sharper (+) or blunter (−)", unit: "deg" },
        y: {
          title: "Gap at the heel of a hinge's point in its corner, positive where it is open",
          unit: "thou",
        },
        width,
      },
    ),
  residuals: (width) =>
    residualsChart(
      [-40, -2.4, 0, 1, 3.2].map((residual, i) => ({ id: `trial-${i}`, label: LONG, residual })),
      { width },
    ),
  "a budget": (width) =>
    budgetBars(
      [0.5, 0.301, -0.1].map((value) => ({ label: LONG, value })),
      { unit: "share", axisTitle: "Share of the variance of the widest gap", width },
    ),
  "a budget in mm": (width) =>
    budgetBars(
      [0.03, -0.01].map((value) => ({ label: "stop", value })),
      { unit: "mm", width },
    ),
};

describe.each(Object.entries(CHARTS))("the chart of %s", (_name, chartAt) => {
  it.each([300, 390, 800])("fills its %d px and no more, without a warning", async (width) => {
    const chart = chartAt(width);
    // Refuses when Vega or Vega-Lite warn of anything.
    const { svg } = await drawChart(chart);
    expect(Number(/<svg[^>]* width="(\d+)"/.exec(svg)![1])).toBe(width);
  });

  it("has a title, a description and a role", async () => {
    const chart = chartAt(360);
    const { svg } = await drawChart(chart);
    const { title, description } = isDrawing(chart) ? chart : chartLabels(chart);
    expect(title.length).toBeGreaterThan(5);
    expect(description).toMatch(/\d/);
    expect(svg).toMatch(/^<svg role="img"/);
    expect(svg).toContain(`<title>${title}</title>`);
    expect(svg).toContain("<desc>");
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
  });

  it.each([300, 390, 800])("writes no line over its rim or over another at %d px", async (width) => {
    const { svg } = await drawChart(chartAt(width));
    const lines = drawnLines(svg);
    expect(lines.length).toBeGreaterThan(2);
    for (const line of lines) {
      expect(line.left, line.text).toBeGreaterThanOrEqual(-0.5);
      expect(line.right, line.text).toBeLessThanOrEqual(width + 0.5);
      expect(line.top, line.text).toBeGreaterThanOrEqual(-0.5);
      expect(line.bottom, line.text).toBeLessThanOrEqual(Number(/ height="(\d+)"/.exec(svg)![1]) + 0.5);
    }
    const over = lines.flatMap((a, i) =>
      lines
        .slice(0, i)
        .filter(
          (b) =>
            a.text !== b.text && a.left < b.right && b.left < a.right && a.top < b.bottom && b.top < a.bottom,
        )
        .map((b) => [a.text, b.text]),
    );
    expect(over).toEqual([]);
  });
});

const isDrawing = (chart: ChartSpec | Drawing): chart is Drawing => typeof chart.svg === "string";

/** The lines of text of a drawing, where the groups that hold them have put them; names that are turned are left out. */
function drawnLines(svg: string): LineBox[] {
  const lines: LineBox[] = [];
  const shifts: [number, number][] = [[0, 0]];
  const shiftOf = (attributes: string): [number, number] => {
    const [x, y] = shifts.at(-1)!;
    const [, right = "0", down = "0"] = /translate\(([-\d.e]+)[ ,]([-\d.e]+)\)/.exec(attributes) ?? [];
    return [x + Number(right), y + Number(down)];
  };
  for (const [tag, group, attributes = "", inside = ""] of svg.matchAll(
    /<\/g>|<g( [^>]*)?>|<text( [^>]*)>(.*?)<\/text>/g,
  )) {
    if (tag === "</g>") shifts.pop();
    else if (tag.endsWith("/>")) continue;
    else if (tag.startsWith("<g")) shifts.push(shiftOf(group ?? ""));
    else if (!attributes.includes("rotate")) {
      const [x, y] = shiftOf(attributes);
      const value = (key: string): string => new RegExp(` ${key}="([^"]*)"`).exec(attributes)?.[1] ?? "";
      const anchor = value("text-anchor");
      const mark = {
        fontSize: Number.parseFloat(value("font-size")),
        fontWeight: value("font-weight"),
        align: anchor === "end" ? "right" : anchor === "middle" ? "center" : "left",
      };
      const spans = [...inside.matchAll(/<tspan([^>]*)>([^<]*)/g)];
      const texts = spans.length > 0 ? spans.map(([, at, text]) => [at, text]) : [["", inside]];
      let down = Number(value("y"));
      for (const [at = "", text = ""] of texts) {
        down += Number(/dy="([^"]*)"/.exec(at)?.[1] ?? 0);
        lines.push(lineBox({ x: x + Number(value("x")), y: y + down, text }, mark));
      }
    }
  }
  return lines;
}

interface LineBox {
  readonly text: string;
  readonly left: number;
  readonly right: number;
  readonly top: number;
  readonly bottom: number;
}

/** Where a line of text stands, by the letters' widths that the layout counts with. */
function lineBox(
  { x, y, text }: { x: number; y: number; text: string },
  mark: Readonly<Record<string, unknown>>,
): LineBox {
  const size = Number(mark.fontSize);
  const width = textWidth(text, size, mark.fontWeight === "bold" ? "bold" : "plain");
  const left = mark.align === "right" ? x - width : mark.align === "center" ? x - width / 2 : x;
  return { text, left, right: left + width, top: y - 0.75 * size, bottom: y + 0.2 * size };
}
