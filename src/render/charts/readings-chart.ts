import { UserError } from "../../core/errors.js";
import { type AxisUnit, axisTitle, isAngle, shown } from "../shop-numbers.js";
import { PALETTE, STROKE } from "../style.js";
import { ARROW_RIGHT, intervalMarks, stretchOf, tidy, valueAxis, zeroLine } from "./axes.js";
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

/** A reading beside what the model predicts for it; gaps, and angles and lengths as differences from nominal, in rad or mm. */
export interface ReadingRow {
  readonly id: string;
  /** In the joiner's words, for example what was read and where. */
  readonly label: string;
  /** The instrument, or what was read. */
  readonly group: string;
  /** The unit it is shown in. */
  readonly unit: AxisUnit;
  /** What the reading says the quantity lies between: value ± U, or two leaves; ±Infinity for an open end. */
  readonly low: number;
  readonly high: number;
  /** `null` for a reading that only tells an interval. */
  readonly value: number | null;
  readonly predicted: number;
  /** `null` where the prediction's interval is not known. */
  readonly predictedLow: number | null;
  readonly predictedHigh: number | null;
  readonly outlier: boolean;
}

export interface ReadingsChartOptions extends ChartOptions {
  /** Axis titles without their unit. */
  readonly axisTitles?: { readonly angle?: string; readonly length?: string };
}

const TITLE = "Readings and the model";
const AXIS_TITLES = { angle: "Angle, from nominal", length: "Gap, or length from nominal" };

/** Height of a row's marks, px: the reading above, the prediction under it. */
const MARKS = 22;
const READING = -5;
const PREDICTION = 6;

/**
 * Each reading with its interval, and under it the model's prediction with its own; one panel for each unit.
 *
 * @throws UserError (code "chart") when there are no rows, or a number or an interval cannot be drawn.
 */
export function readingsChart(rows: readonly ReadingRow[], options: ReadingsChartOptions = {}): ChartSpec {
  requireRows(rows, "readings");
  rows.forEach(requireRow);
  const outliers = rows.filter((row) => row.outlier);
  const title = options.title ?? TITLE;
  const titleOf = ({ unit }: ReadingRow): string => {
    const kind = isAngle(unit) ? "angle" : "length";
    return axisTitle(options.axisTitles?.[kind] ?? AXIS_TITLES[kind], unit);
  };
  return framed(
    {
      title,
      notes: [],
      description: `${title}. ${countText(rows.length)}, each beside the model's prediction. ${outlierText(outliers)}`,
      width: options.width,
    },
    [
      legendPanel(legend(rows), options.width),
      ...axisPanels(rows, titleOf, (own, title) => panel(own, rows, title, options)),
    ],
  );
}

const countText = (count: number): string =>
  count === 1 ? "One reading with its interval" : `${count} readings with their intervals`;

const outlierText = (outliers: readonly ReadingRow[]): string =>
  outliers.length === 0 ? "None stands out." : `Standing out: ${outliers.map(({ id }) => id).join(", ")}.`;

function requireRow(row: ReadingRow): void {
  requireInterval(row.low, row.high, `interval of reading ${row.id}`);
  if (row.value !== null) requireFinite(row.value, `value of reading ${row.id}`);
  else if (row.low === Number.NEGATIVE_INFINITY && row.high === Number.POSITIVE_INFINITY)
    throw new UserError(
      "chart",
      `Reading ${row.id} says nothing: a reading has a value or at least one end of its interval; both ends are open.`,
    );
  requireFinite(row.predicted, `prediction of reading ${row.id}`);
  if (row.predictedLow !== null && row.predictedHigh !== null)
    requireInterval(row.predictedLow, row.predictedHigh, `predicted interval of reading ${row.id}`);
}

function panel(
  rows: readonly ReadingRow[],
  all: readonly ReadingRow[],
  title: string,
  options: ReadingsChartOptions,
): ChartPanel {
  const { unit } = rows[0]!;
  const room = plotWidth(options.width);
  const stack = stackRows(rows, {
    room,
    marks: MARKS,
    figures: ({ outlier }) => (outlier ? STANDS_OUT : ""),
    alignedWith: all,
    figureStyle: { weight: "bold", color: PALETTE.attention },
  });
  const on = (value: number | null): number => (value === null ? Number.NaN : shown(value, unit));
  const stretch = stretchOf(
    rows.flatMap((row) =>
      [row.low, row.high, row.value, row.predicted, row.predictedLow, row.predictedHigh].map(on),
    ),
  );
  const across = valueAxis({ title, stretch, from: stack.from, to: stack.to });
  const placed = stack.rows.map(({ row, y }) => ({
    row,
    reading: { y: px(y + READING), low: on(row.low), high: on(row.high) },
    prediction: {
      y: px(y + PREDICTION),
      low: on(row.predictedLow ?? row.predicted),
      high: on(row.predictedHigh ?? row.predicted),
    },
  }));
  const values = placed.flatMap(({ row, reading }) =>
    row.value === null ? [] : [{ outlier: row.outlier, x: tidy(on(row.value)), y: reading.y }],
  );
  return {
    width: room,
    height: stack.height,
    layer: [
      ...zeroLine(stretch, stack.height, across),
      ...stack.labels,
      ...[false, true].flatMap((outlier) =>
        intervalMarks(
          placed.filter(({ row }) => row.outlier === outlier).map(({ reading }) => reading),
          stretch,
          across,
          {
            color: PALETTE.measuredPale,
            bar: 7,
            caps: 11,
            capColor: outlier ? PALETTE.attention : PALETTE.measured,
          },
        ),
      ),
      ...symbols(
        values.filter(({ outlier }) => !outlier),
        DOT,
        across,
      ),
      ...symbols(
        values.filter(({ outlier }) => outlier),
        OUTLIER,
        across,
      ),
      ...intervalMarks(
        placed.map(({ prediction }) => prediction),
        stretch,
        across,
        { color: PALETTE.computed, bar: 2, caps: 7 },
      ),
      ...symbols(
        placed.map(({ row, prediction }) => ({ x: tidy(on(row.predicted)), y: prediction.y })),
        DIAMOND,
        across,
      ),
    ],
  };
}

const STANDS_OUT = "stands out";
const DOT = { shape: "circle", size: 62, fill: PALETTE.measured };
const OUTLIER = { shape: "M-1,-1L1,1M-1,1L1,-1", size: 90, stroke: PALETTE.attention, strokeWidth: 3 };
const DIAMOND = {
  shape: "diamond",
  size: 70,
  fill: PALETTE.paper,
  stroke: PALETTE.computed,
  strokeWidth: STROKE.mark,
};

function legend(rows: readonly ReadingRow[]): LegendEntry[] {
  const bar = (x: number, y: number, color: string, half: number) =>
    boxes([{ x: x + 1, x2: x + SWATCH - 1, y: y - half, y2: y + half }], { fill: color });
  const cap = (x: number, y: number, half: number) => ({ x, x2: x, y: y - half, y2: y + half });
  const caps = (x: number, y: number, half: number, color: string) =>
    lines([cap(x + 1, y, half), cap(x + SWATCH - 1, y, half)], { color, width: STROKE.mark });
  const middle = (x: number, y: number) => [{ x: x + SWATCH / 2, y }];
  const isOpen = ({ low, high }: ReadingRow): boolean => !Number.isFinite(low) || !Number.isFinite(high);
  return [
    {
      text: "reading",
      swatch: (x, y) => [
        ...bar(x, y, PALETTE.measuredPale, 3.5),
        ...caps(x, y, 5.5, PALETTE.measured),
        ...symbols(middle(x, y), DOT),
      ],
    },
    {
      text: "prediction",
      swatch: (x, y) => [
        ...bar(x, y, PALETTE.computed, 1),
        ...caps(x, y, 3.5, PALETTE.computed),
        ...symbols(middle(x, y), DIAMOND),
      ],
    },
    ...(rows.some(isOpen)
      ? [
          {
            text: "no limit this way",
            swatch: (x: number, y: number) => [
              ...bar(x, y, PALETTE.measuredPale, 3.5),
              ...symbols([{ x: x + SWATCH, y }], { shape: ARROW_RIGHT, size: 70, fill: PALETTE.measured }),
            ],
          },
        ]
      : []),
    ...(rows.some(({ outlier }) => outlier)
      ? [{ text: STANDS_OUT, swatch: (x: number, y: number) => symbols(middle(x, y), OUTLIER) }]
      : []),
  ];
}
