import { PALETTE, SIDE_BY_SIDE, SIZE, STROKE } from "../style.js";
import { fittedLines, textWidth, titleLines } from "../text-layout.js";
import { plotWidth } from "./chart-spec.js";
import type { Layer } from "./chart-views.js";
import { type Encoding, SIGN, SIGN_SIZE, tidy, type ValueAxis } from "./grammar.js";

interface Interval {
  /** `-Infinity` and `Infinity` for open ends. */
  readonly low: number;
  readonly high: number;
  readonly line: number | undefined;
}

interface IntervalStyle {
  readonly color: string;
  /** Thickness of the bar, px. */
  readonly bar: number;
  /** Height of the strokes that close the interval's ends, px; 0 for none. */
  readonly caps: number;
  readonly capColor?: string;
}

/** Bars from low to high; an end beyond the domain is a triangle that points outwards instead of a stroke. */
export function intervals(
  rows: readonly Interval[],
  [from, to]: readonly [number, number],
  { x, y }: { readonly x: ValueAxis; readonly y: RowAxis["y"] },
  { color, bar, caps, capColor = color }: IntervalStyle,
): Layer[] {
  if (rows.length === 0) return [];
  const within = (value: number): number => tidy(Math.min(Math.max(value, from), to));
  const values = rows.map(({ low, high, line }) => ({ line, value: within(low), high: within(high) }));
  const ends = rows.flatMap(({ low, high, line }) => [
    { line, value: within(low), end: "low", open: low < from },
    { line, value: within(high), end: "high", open: high > to },
  ]);
  const [open, closed] = [ends.filter((end) => end.open), ends.filter((end) => !end.open)];
  return [
    {
      data: { values },
      mark: { type: "rule", color, strokeWidth: bar, clip: true },
      encoding: { x, y, x2: { field: "high" } },
    },
    ...(caps > 0
      ? [
          {
            data: { values: closed },
            mark: {
              type: "tick",
              opacity: 1,
              orient: "vertical",
              color: capColor,
              thickness: STROKE.mark,
              size: caps,
            } as const,
            encoding: { x, y },
          },
        ]
      : []),
    ...(open.length > 0
      ? [
          {
            data: { values: open },
            mark: { type: "point", fill: capColor, stroke: null, opacity: 1, size: SIGN_SIZE } as const,
            encoding: {
              x,
              y,
              shape: {
                condition: { test: "datum.end === 'low'", value: SIGN.openLow },
                value: SIGN.openHigh,
              },
            },
          },
        ]
      : []),
  ];
}

/** The rows of each axis, by its title, in the order in which they first come. */
export function byAxis<Row>(rows: readonly Row[], titleOf: (row: Row) => string): [string, Row[]][] {
  const found = new Map<string, Row[]>();
  for (const row of rows) found.set(titleOf(row), [...(found.get(titleOf(row)) ?? []), row]);
  return [...found];
}

/** A row of a chart: its label and the figures that belong to it, or the heading of the rows that follow. */
interface LabelledRow {
  readonly label: string;
  readonly figures?: string;
  readonly heading?: boolean;
}

interface RowAxis {
  /** The vertical axis, in lines of text from above: marks by the field `line`. */
  readonly y: NonNullable<Encoding["y"]>;
  /** Where the marks of each row stand, in lines. */
  readonly lines: readonly number[];
  /** Width of the plot, px. */
  readonly plot: number;
  /** px. */
  readonly height: number;
  /** Paper behind the labels that lie in the plot, so that no line of the grid runs through a number; goes under all other marks. */
  readonly paper: readonly Layer[];
  /** Zero of a value axis: a line through all rows, or through the marks of each where labels lie between. */
  readonly zero: (x: ValueAxis) => Layer;
}

/** px. */
const LINE = 15;
/** Blank after a row, in lines. */
const BETWEEN = 0.6;
/** px. */
const COLUMN_GAP = 12;
/** Most of a chart's width that labels beside the marks take. */
const MOST_LABEL = 0.42;
/** Bold letters are this much wider than plain ones. */
const BOLD = 1.14;

/**
 * Rows from above to below, `marks` px for the marks of each: labels above the marks on a phone, beside them from {@link SIDE_BY_SIDE} on.
 * Rows differ in height, which a band scale cannot have: the scale counts lines.
 */
export function rowAxis(
  rows: readonly LabelledRow[],
  width: number | undefined,
  marks: number,
  {
    beside = plotWidth(width) >= SIDE_BY_SIDE,
    alignedWith = rows,
  }: {
    readonly beside?: boolean /** Rows of all plots whose labels have one width. */;
    readonly alignedWith?: readonly LabelledRow[];
  } = {},
): RowAxis {
  const room = plotWidth(width);
  const most = beside ? MOST_LABEL * room : room;
  // Above its marks a label lies in the plot, and Vega makes a plot narrower for what it allows for letters.
  const broken = (text: string, share = 1): string[] =>
    (beside ? fittedLines : titleLines)(text, most / share, SIZE.text);
  const textsOf = ({ label, figures, heading }: LabelledRow): string[] => {
    const whole = broken(figures === undefined ? label : `${label}: ${figures}`, heading ? BOLD : 1);
    return figures === undefined || whole.length === 1 ? whole : [...broken(label), ...broken(figures)];
  };
  const labels = new Map<number, { readonly text: string; readonly bold: boolean }>();
  const lines: number[] = [];
  let top = 0;
  for (const row of rows) {
    const [texts, bold] = [textsOf(row), row.heading ?? false];
    const high = bold ? 0 : marks / LINE;
    const tall = beside ? Math.max(texts.length, high) : texts.length + high;
    const first = top + 0.5 + (beside ? (tall - texts.length) / 2 : 0);
    for (const [i, text] of texts.entries()) labels.set(tidy(first + i), { text, bold });
    lines.push(tidy(beside ? top + tall / 2 : top + texts.length + high / 2));
    top += tall + (bold ? 0 : BETWEEN);
  }
  const widest = Math.ceil(
    Math.max(...alignedWith.flatMap(textsOf).map((line) => textWidth(line, SIZE.text))),
  );
  const column = beside ? COLUMN_GAP + widest : 0;
  const each = (value: (label: { text: string; bold: boolean }) => unknown): string =>
    `${JSON.stringify(Object.fromEntries([...labels].map(([line, label]) => [line, value(label)])))}[datum.value]`;
  const y: RowAxis["y"] = {
    field: "line",
    type: "quantitative",
    title: null,
    scale: { domain: [0, tidy(top)], reverse: true, nice: false, zero: false },
    axis: {
      values: [...labels.keys()],
      labelExpr: each(({ text }) => text),
      labelAlign: "left",
      labelPadding: column,
      labelFontSize: SIZE.text,
      labelFontWeight: { condition: { test: each(({ bold }) => bold), value: "bold" }, value: "normal" },
      labelLimit: 2 * room,
      labelOverlap: false,
      domain: false,
      grid: false,
      ticks: false,
      zindex: 1,
    },
  };
  const covered = [...labels.keys()].map((line) => ({ line: tidy(line - 0.5), to: tidy(line + 0.5) }));
  return {
    y,
    lines,
    paper: beside
      ? []
      : [
          {
            data: { values: covered },
            mark: { type: "rect", color: PALETTE.paper, opacity: 1 },
            encoding: { y, y2: { field: "to" }, x: { value: 0 }, x2: { value: Math.min(room, widest) } },
          },
        ],
    plot: room - column,
    height: Math.ceil(LINE * top),
    zero: (x) => ({
      data: {
        values: beside
          ? [{ value: 0 }]
          : lines.flatMap((line, i) => (rows[i]?.heading ? [] : [{ line, value: 0 }])),
      },
      mark: beside
        ? { type: "rule", color: PALETTE.quiet, strokeWidth: STROKE.fine }
        : {
            type: "tick",
            opacity: 1,
            orient: "vertical",
            color: PALETTE.quiet,
            thickness: STROKE.fine,
            size: marks,
          },
      encoding: beside ? { x } : { x, y },
    }),
  };
}
