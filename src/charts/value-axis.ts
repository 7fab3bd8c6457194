import { type Across, px } from "./marks.js";
import { SIZE } from "./style.js";
import { wrappedTitle } from "./text-layout.js";

/** The stretch of an axis, in the unit shown. */
export interface Stretch {
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
export function within({ low, high }: Stretch, from: number, to: number) {
  return {
    x: Math.min(Math.max(from, low), high),
    x2: Math.min(Math.max(to, low), high),
    openLow: from < low,
    openHigh: to > high,
  };
}

export interface ValueAxisOptions {
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
      title: wrappedTitle(title, to - from, SIZE.small),
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
