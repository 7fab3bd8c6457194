import { PALETTE, SIZE, STROKE } from "../style.js";
import { titleLines } from "../text-layout.js";
import type { Layer } from "./chart-views.js";
import { type Across, boxes, lines, px, symbols } from "./marks.js";

/** The stretch of an axis, in the unit shown. */
interface Stretch {
  readonly low: number;
  readonly high: number;
}

/** Blank at either end, as a share of the stretch. */
const BLANK = 0.05;
/** Zero is shown when it lies no further outside than this share of the stretch. */
const ZERO_WITHIN = 0.6;

/** The stretch that holds all finite numbers among `values`, with a little blank, and zero where it is not far off. */
export function stretchOf(values: readonly number[]): Stretch {
  const finite = values.filter(Number.isFinite);
  const [low, high] = [Math.min(...finite), Math.max(...finite)];
  const size = high - low;
  const near = ZERO_WITHIN * size;
  const from = low > 0 && low <= near ? 0 : low;
  const to = high < 0 && -high <= near ? 0 : high;
  const blank = BLANK * (to - from) || Math.abs(from) * BLANK || 1;
  return { low: from - blank, high: to + blank };
}

/** An interval as far as it can be drawn, and which of its ends go on beyond. */
function within({ low, high }: Stretch, from: number, to: number) {
  return {
    x: Math.min(Math.max(from, low), high),
    x2: Math.min(Math.max(to, low), high),
    openLow: from < low,
    openHigh: to > high,
  };
}

interface ValueAxisOptions {
  readonly title: string;
  readonly stretch: Stretch;
  /** Where the axis lies in its panel, px. */
  readonly from: number;
  readonly to: number;
  /** Where ticks stand; default at round numbers. */
  readonly ticks?: readonly number[];
}

/** px between ticks, about. */
const TICK_EVERY = 80;

const FLUSH = 26;

/** A horizontal axis for the field `x`, its title under it. */
export function valueAxis({ title, stretch, from, to, ticks }: ValueAxisOptions): Across {
  return {
    field: "x",
    type: "quantitative",
    scale: {
      domain: [tidy(stretch.low), tidy(stretch.high)],
      range: [px(from + 1), px(to - 1)],
      nice: false,
      zero: false,
    },
    axis: {
      title: titleLines(title, to - from, SIZE.small),
      ...(ticks
        ? { values: [...ticks], labelOverlap: false }
        : { tickCount: Math.max(3, Math.floor((to - from) / TICK_EVERY)) }),
      grid: true,
      // A label near an end is set towards the middle, so that it stays within the chart.
      labelFlush: FLUSH,
    },
  };
}

/** Six significant figures: more is not seen, and a spec is easier to read. */
export const tidy = (value: number): number => Number(value.toPrecision(6));

/** Round numbers at even distances that span what is between `low` and `high`: about `count` of them, 1, 2 or 5 times a power of ten apart. */
export function roundTicks(low: number, high: number, count = 5): number[] {
  const rough = (high - low) / Math.max(1, count - 1);
  if (!(rough > 0)) return [low];
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((factor) => factor * power).find((size) => size >= rough * (1 - 1e-9))!;
  const first = Math.ceil(low / step - 1e-9);
  const last = Math.floor(high / step + 1e-9);
  return Array.from({ length: last - first + 1 }, (_, i) => Number(((first + i) * step).toPrecision(12)));
}

/** A line at zero, where zero is on the axis. */
export function zeroLine({ low, high }: Stretch, height: number, across: Across): Layer[] {
  return low <= 0 && high >= 0
    ? lines([{ x: 0, x2: 0, y: 0, y2: height }], { color: PALETTE.quiet, width: STROKE.fine }, across)
    : [];
}

interface IntervalStyle {
  readonly color: string;
  /** Thickness of the bar, px. */
  readonly bar: number;
  /** Height of the strokes that close the interval's ends, px; 0 for none. */
  readonly caps: number;
  readonly capColor?: string;
}

interface Interval {
  readonly low: number;
  readonly high: number;
  /** px. */
  readonly y: number;
}

/** Bars from low to high; an end that goes on beyond the axis carries an arrow instead of a stroke. */
export function intervalMarks(
  rows: readonly Interval[],
  stretch: Stretch,
  across: Across,
  { color, bar, caps, capColor = color }: IntervalStyle,
): Layer[] {
  const drawn = rows.map(({ low, high, y }) => {
    const { x, x2, openLow, openHigh } = within(stretch, low, high);
    return { x: tidy(x), x2: tidy(x2), y, openLow, openHigh };
  });
  const cap = (x: number, y: number) => ({ x, x2: x, y: y - caps / 2, y2: y + caps / 2 });
  const closed = drawn.flatMap(({ x, x2, y, openLow, openHigh }) => [
    ...(openLow ? [] : [cap(x, y)]),
    ...(openHigh ? [] : [cap(x2, y)]),
  ]);
  const arrow = (shape: string) => ({ shape, size: 70, fill: capColor });
  return [
    ...boxes(
      drawn.map(({ x, x2, y }) => ({ x, x2, y: y - bar / 2, y2: y + bar / 2 })),
      { fill: color },
      across,
    ),
    ...(caps > 0 ? lines(closed, { color: capColor, width: STROKE.mark }, across) : []),
    ...symbols(
      drawn.filter((row) => row.openLow).map(({ x, y }) => ({ x, y })),
      arrow(ARROW_LEFT),
      across,
    ),
    ...symbols(
      drawn.filter((row) => row.openHigh).map(({ x2, y }) => ({ x: x2, y })),
      arrow(ARROW_RIGHT),
      across,
    ),
  ];
}

/** Arrow heads with their tip outside and their body inside the axis: paths within ±1. */
export const ARROW_LEFT = "M0,0L1.6,-1L1.6,1Z";
export const ARROW_RIGHT = "M0,0L-1.6,-1L-1.6,1Z";
