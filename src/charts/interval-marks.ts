import type { Layer } from "./chart-spec.js";
import { type Across, boxes, lines, symbols } from "./marks.js";
import { STROKE } from "./style.js";
import { type Stretch, tidy, within } from "./value-axis.js";

export interface IntervalStyle {
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
