import { roundToUncertainty } from "../../core/quantity/index.js";
import { type AxisUnit, axisTitle, quantityText, shown } from "../shop-numbers.js";
import { PALETTE, STROKE } from "../style.js";
import { intervalMarks, stretchOf, tidy, valueAxis, zeroLine } from "./axes.js";
import {
  type ChartOptions,
  type ChartSpec,
  plotWidth,
  requireFinite,
  requireInterval,
  requireRows,
} from "./chart-spec.js";
import type { ChartPanel } from "./chart-views.js";
import { framed, type LegendEntry, legendPanel, SWATCH } from "./framed.js";
import { boxes, lines, px, symbols } from "./marks.js";
import { axisPanels, stackRows } from "./stack-rows.js";

/** What the readings say about one error source, with 95 % intervals before and after; rad or mm. */
export interface EstimateRow {
  readonly name: string;
  /** The unit it is shown in. */
  readonly unit: AxisUnit;
  /** What its signs mean: the axis title without its unit. */
  readonly axis: string;
  readonly estimate: number;
  readonly low: number;
  readonly high: number;
  /** What was believed before anything was read; `null` when nothing was. */
  readonly priorLow: number | null;
  readonly priorHigh: number | null;
}

const TITLE = "What the readings say";
const MARKS = 16;
/** A prior is drawn no further out than this many times the stretch of the estimates; beyond, an arrow says that it goes on. */
const MOST_PRIOR = 5;

/**
 * Estimates with their 95 % intervals over what was believed before; one panel for each axis, zero marked.
 *
 * @throws UserError (code "chart") when there are no rows, or a number or an interval cannot be drawn.
 */
export function estimatesChart(rows: readonly EstimateRow[], options: ChartOptions = {}): ChartSpec {
  requireRows(rows, "estimates");
  rows.forEach(requireRow);
  const title = options.title ?? TITLE;
  return framed(
    {
      title,
      notes: [],
      description: `${title}. ${rows.map((row) => `${row.name}: ${figures(row)}`).join("; ")} (95 % intervals).`,
      width: options.width,
    },
    [
      legendPanel(legend(rows), options.width),
      ...axisPanels(
        rows,
        ({ unit, axis }) => axisTitle(axis, unit),
        (own, title) => panel(own, rows, title, options),
      ),
    ],
  );
}

function requireRow(row: EstimateRow): void {
  requireFinite(row.estimate, `estimate of ${row.name}`);
  requireInterval(row.low, row.high, `interval of ${row.name}`);
  if (row.priorLow !== null && row.priorHigh !== null)
    requireInterval(row.priorLow, row.priorHigh, `earlier interval of ${row.name}`);
}

/** `+0.21° (+0.12 to +0.30)`, as many decimals as two figures of half the interval ask for. */
function figures({ estimate, low, high, unit }: EstimateRow): string {
  const half = shown(high - low, unit) / 2;
  const digits = Number.isFinite(half) && half > 0 ? roundToUncertainty(0, half).places : undefined;
  const options = { signed: true, ...(digits === undefined ? {} : { digits: Math.max(0, digits) }) };
  const end = (value: number): string =>
    Number.isFinite(value) ? quantityText(value, unit, { ...options, withUnit: false }) : "open";
  return `${quantityText(estimate, unit, options)} (${end(low)} to ${end(high)})`;
}

function panel(
  rows: readonly EstimateRow[],
  all: readonly EstimateRow[],
  title: string,
  options: ChartOptions,
): ChartPanel {
  const { unit } = rows[0]!;
  const room = plotWidth(options.width);
  const stack = stackRows(rows.map(labelled), {
    room,
    marks: MARKS,
    figures,
    alignedWith: all.map(labelled),
  });
  const on = (value: number | null): number => (value === null ? Number.NaN : shown(value, unit));
  const stretch = stretchOf([...reach(rows).map(on), 0]);
  const across = valueAxis({ title, stretch, from: stack.from, to: stack.to });
  const placed = stack.rows.map(({ row, y }) => ({ row, y: px(y) }));
  const priors = placed.flatMap(({ row: { priorLow, priorHigh }, y }) =>
    priorLow === null || priorHigh === null ? [] : [{ low: on(priorLow), high: on(priorHigh), y }],
  );
  return {
    width: room,
    height: stack.height,
    layer: [
      ...intervalMarks(priors, stretch, across, {
        color: PALETTE.earlierPale,
        bar: 14,
        caps: 0,
        capColor: PALETTE.earlier,
      }),
      ...zeroLine(stretch, stack.height, across),
      ...stack.labels,
      ...intervalMarks(
        placed.map(({ row, y }) => ({ low: on(row.low), high: on(row.high), y })),
        stretch,
        across,
        { color: PALETTE.computed, bar: 3, caps: 10 },
      ),
      ...symbols(
        placed.map(({ row, y }) => ({ x: tidy(on(row.estimate)), y })),
        DIAMOND,
        across,
      ),
    ],
  };
}

const labelled = (row: EstimateRow) => ({ ...row, label: row.name });

/** Everything that sets the axis: the estimates with their intervals, and of the priors as much as leaves those readable. */
function reach(rows: readonly EstimateRow[]): number[] {
  const own = [0, ...rows.flatMap(({ estimate, low, high }) => [estimate, low, high])].filter(
    Number.isFinite,
  );
  const [low, high] = [Math.min(...own), Math.max(...own)];
  const most = ((MOST_PRIOR - 1) / 2) * (high - low);
  const priors = rows.flatMap(({ priorLow, priorHigh }) =>
    priorLow === null || priorHigh === null
      ? []
      : [Math.max(priorLow, low - most), Math.min(priorHigh, high + most)],
  );
  return [...own, ...(most > 0 ? priors : rows.flatMap((row) => [row.priorLow ?? 0, row.priorHigh ?? 0]))];
}

const DIAMOND = {
  shape: "diamond",
  size: 90,
  fill: PALETTE.paper,
  stroke: PALETTE.computed,
  strokeWidth: STROKE.mark,
};

function legend(rows: readonly EstimateRow[]): LegendEntry[] {
  const estimate: LegendEntry = {
    text: "estimate, 95 % interval",
    swatch: (x, y) => [
      ...lines([{ x: x + 1, x2: x + SWATCH - 1, y, y2: y }], {
        color: PALETTE.computed,
        width: STROKE.strong,
      }),
      ...lines(
        [x + 1, x + SWATCH - 1].map((end) => ({ x: end, x2: end, y: y - 5, y2: y + 5 })),
        { color: PALETTE.computed, width: STROKE.mark },
      ),
      ...symbols([{ x: x + SWATCH / 2, y }], DIAMOND),
    ],
  };
  const prior: LegendEntry = {
    text: "believed before, 95 %",
    swatch: (x, y) => boxes([{ x, x2: x + SWATCH, y: y - 7, y2: y + 7 }], { fill: PALETTE.earlierPale }),
  };
  return rows.some(({ priorLow }) => priorLow !== null) ? [estimate, prior] : [estimate];
}
