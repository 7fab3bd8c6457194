import { UserError } from "../../core/errors.js";
import { type AxisUnit, axisTitle, isAngle, quantityText, shown } from "../shop-numbers.js";
import { PALETTE, SIZE, STROKE } from "../style.js";
import { textWidth } from "../text-layout.js";
import { stretchOf, tidy, valueAxis } from "./axes.js";
import { type ChartOptions, type ChartSpec, plotWidth, requireFinite, requireRows } from "./chart-spec.js";
import type { Layer } from "./chart-views.js";
import { framed, legendPanel, SWATCH } from "./framed.js";
import { type Across, type LineStyle, lines, px, type SymbolStyle, symbols, texts } from "./marks.js";

/** One piece of a batch; mm. */
export interface RunRow {
  readonly id: string;
  readonly value: number;
  /** The moving average after it. */
  readonly average: number;
}

/** A pair of limits, mm. */
export interface RunLimits {
  readonly lower: number;
  readonly upper: number;
}

export interface RunChartInput {
  readonly rows: readonly RunRow[];
  readonly target: number;
  /** Of single pieces, and of the moving average. */
  readonly single: RunLimits;
  readonly moving: RunLimits;
}

export interface RunChartOptions extends ChartOptions {
  /** mm, in or thou. */
  readonly unit: AxisUnit;
  /** Axis title without its unit; default {@link DEFAULT_RUN_AXIS}. */
  readonly axisTitle?: string;
}

export const DEFAULT_RUN_AXIS = "Length of the piece";
const TITLE = "The batch, piece by piece";
/** Height of a piece's line, px. */
const LINE = 14;
const LABEL_GAP = 8;

const SINGLE: LineStyle = { color: PALETTE.attention, width: STROKE.fine, dash: [7, 3] };
const MOVING: LineStyle = { color: PALETTE.computed, width: STROKE.fine, dash: [2, 3] };
const AVERAGE: LineStyle = { color: PALETTE.computed, width: STROKE.mark };
const PIECE: SymbolStyle = { shape: "circle", size: 40, fill: PALETTE.measured };
const ODD: SymbolStyle = {
  shape: "M-1,-1L1,1M-1,1L1,-1",
  size: 60,
  stroke: PALETTE.attention,
  strokeWidth: 2.5,
};

/**
 * Pieces of a batch from the first (above) to the last, their moving average, and the limits of both.
 *
 * @throws UserError (code "chart") when there are no pieces, a number is not finite, or the unit is of angles.
 */
export function runChart(input: RunChartInput, options: RunChartOptions): ChartSpec {
  const { rows, target, single, moving } = input;
  const { unit } = options;
  requireRows(rows, "pieces");
  if (isAngle(unit))
    throw new UserError("chart", `A batch has no such unit: it must be mm, in or thou; it is ${unit}.`);
  for (const { id, value, average } of rows) {
    requireFinite(value, `value of piece ${id}`);
    requireFinite(average, `moving average at piece ${id}`);
  }
  const ends = [single.lower, single.upper, moving.lower, moving.upper, target];
  for (const end of ends) requireFinite(end, "limit of the chart");
  const room = plotWidth(options.width);
  const from = Math.min(0.3 * room, Math.max(...rows.map(({ id }) => textWidth(id, SIZE.tiny)))) + LABEL_GAP;
  const on = (mm: number): number => tidy(shown(mm, unit));
  const height = LINE * rows.length + LINE;
  const across = valueAxis({
    title: axisTitle(options.axisTitle ?? DEFAULT_RUN_AXIS, unit),
    stretch: stretchOf([...ends, ...rows.map(({ value }) => value)].map(on)),
    from,
    to: room,
  });
  const placed = rows.map((row, i) => ({ ...row, y: px(LINE * (i + 1)) }));
  const isOdd = ({ value }: RunRow): boolean => value < single.lower || value > single.upper;
  const at = ({ value, y }: (typeof placed)[number]) => ({ x: on(value), y });
  const title = options.title ?? TITLE;
  const note = noteOf(input, unit, isOdd);
  return framed(
    {
      title,
      notes: [note],
      description: `${title}: ${rows.length} pieces about ${quantityText(target, unit, DIGITS)}. ${note}`,
      width: options.width,
    },
    [
      legend(options.width),
      {
        width: room,
        height,
        layer: [
          ...upright([target], height, { color: PALETTE.quiet, width: STROKE.fine }, across, on),
          ...upright([single.lower, single.upper], height, SINGLE, across, on),
          ...upright([moving.lower, moving.upper], height, MOVING, across, on),
          ...texts(
            placed.map(({ id, y }) => ({ x: 0, y: y + 4, text: id })),
            { size: SIZE.tiny, color: PALETTE.quiet },
          ),
          ...averageLine(placed, across, on),
          ...symbols(placed.filter((row) => !isOdd(row)).map(at), PIECE, across),
          ...symbols(placed.filter(isOdd).map(at), ODD, across),
        ],
      },
    ],
  );
}

const DIGITS = { digits: 3 } as const;
/** Pieces named in a note before the rest is counted. */
const NAMED = 6;

function noteOf({ rows, moving }: RunChartInput, unit: AxisUnit, isOdd: (row: RunRow) => boolean): string {
  const named = (list: readonly RunRow[]): string => {
    const ids = list.slice(0, NAMED).map(({ id }) => id);
    const left = list.length - ids.length;
    return ids.join(", ") + (left > 0 ? ` and ${left} more` : "");
  };
  const odd = rows.filter(isOdd);
  const drifted = rows.filter(({ average }) => average < moving.lower || average > moving.upper);
  const width = quantityText((moving.upper - moving.lower) / 2, unit, DIGITS);
  return [
    odd.length === 0 ? "No piece lies beyond its limits." : `Beyond their limits: ${named(odd)}.`,
    drifted.length === 0
      ? `The moving average stays within ±${width}.`
      : `The moving average leaves its ±${width} at ${named(drifted)}.`,
  ].join(" ");
}

type On = (mm: number) => number;

const upright = (
  places: readonly number[],
  height: number,
  style: LineStyle,
  across: Across,
  on: On,
): Layer[] =>
  lines(
    places.map((place) => ({ x: on(place), x2: on(place), y: 0, y2: height })),
    style,
    across,
  );

/** A line through the averages from above to below. */
function averageLine(rows: readonly (RunRow & { readonly y: number })[], across: Across, on: On): Layer[] {
  return [
    {
      data: { values: rows.map(({ average, y }, order) => ({ x: on(average), y, order })) },
      mark: { type: "line", color: AVERAGE.color, strokeWidth: AVERAGE.width, clip: true },
      encoding: {
        x: across,
        y: { field: "y", type: "quantitative", scale: null, axis: null },
        order: { field: "order", type: "quantitative" },
      },
    },
  ];
}

function legend(width: number | undefined) {
  const flat = (style: LineStyle) => (x: number, y: number) =>
    lines([{ x, x2: x + SWATCH, y, y2: y }], style);
  const point = (style: SymbolStyle) => (x: number, y: number) => symbols([{ x: x + SWATCH / 2, y }], style);
  return legendPanel(
    [
      { text: "piece", swatch: point(PIECE) },
      { text: "piece beyond", swatch: point(ODD) },
      { text: "limits of pieces", swatch: flat(SINGLE) },
      { text: "moving average", swatch: flat(AVERAGE) },
      { text: "its limits", swatch: flat(MOVING) },
    ],
    width,
  );
}
