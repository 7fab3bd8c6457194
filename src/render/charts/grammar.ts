import {
  CHARACTER_ALLOWED,
  DEFAULT_WIDTH,
  FONT,
  PALETTE,
  PANEL_SPACING,
  RIM,
  SIZE,
  STROKE,
} from "../style.js";
import { textWidth, titleLines } from "../text-layout.js";
import { type ChartSpec, plotWidth } from "./chart-spec.js";
import type { ChartPanel, Layer } from "./chart-views.js";

export type Encoding = NonNullable<Extract<Layer, { mark: unknown }>["encoding"]>;

interface ChartFrame {
  readonly title: string;
  /** Sentences under the title; each begins a line. */
  readonly notes: readonly string[];
  readonly description: string;
  /** px. */
  readonly width: number | undefined;
}

/** What every chart has around its views. */
function frameOf({ title, notes, description, width }: ChartFrame) {
  const room = plotWidth(width);
  return {
    // Notebooks draw version 5; nothing used here has changed since.
    $schema: "https://vega.github.io/schema/vega-lite/v5.json",
    description,
    title: {
      text: titleLines(title, room, SIZE.title),
      ...(notes.length > 0 ? { subtitle: notes.flatMap((note) => titleLines(note, room, SIZE.small)) } : {}),
    },
    padding: RIM,
    background: PALETTE.paper,
    config: CONFIG,
  };
}

/** One plot under a title: Vega makes it as much narrower than the chart as its axes need. */
export function plotted(
  frame: ChartFrame,
  { height, layer }: { readonly height: number; readonly layer: readonly Layer[] },
): ChartSpec {
  const { config, ...rest } = frameOf(frame);
  return {
    ...rest,
    width: frame.width ?? DEFAULT_WIDTH,
    height,
    autosize: { type: "fit-x", contains: "padding" },
    layer: [...layer],
    config: {
      ...config,
      legend: { ...config.legend, offset: LEGEND_OFFSET + TITLE_LINE * titleHeight(layer) },
    },
  };
}

/** Plots one below the other under a title; their meanings share a legend. Vega fits no such chart into a width: each plot has its own. */
export function stackedPlots(frame: ChartFrame, plots: readonly ChartPanel[]): ChartSpec {
  return { ...frameOf(frame), spacing: PANEL_SPACING, vconcat: [...plots] };
}

/** Lines of a vertical axis's title: a legend stands above them. */
const titleHeight = (layer: readonly Layer[]): number =>
  Math.max(
    0,
    ...layer.map((one) => {
      const y = "encoding" in one ? one.encoding?.y : undefined;
      return y && "title" in y && Array.isArray(y.title) ? y.title.length : 0;
    }),
  );

/** px. */
const LEGEND_OFFSET = 12;

/** px. */
const TITLE_LINE = 14;

const CONFIG = {
  font: FONT,
  view: { stroke: null },
  title: {
    anchor: "start",
    frame: "bounds",
    color: PALETTE.ink,
    fontSize: SIZE.title,
    fontWeight: "bold",
    lineHeight: 19,
    offset: 8,
    subtitleColor: PALETTE.quiet,
    subtitleFontSize: SIZE.small,
    subtitleLineHeight: 15,
    subtitlePadding: 7,
  },
  axis: {
    domainColor: PALETTE.quiet,
    gridColor: PALETTE.hairline,
    labelColor: PALETTE.ink,
    labelFontSize: SIZE.small,
    tickColor: PALETTE.quiet,
    tickSize: 4,
    titleColor: PALETTE.ink,
    titleFontSize: SIZE.small,
    titleFontWeight: "normal",
    titleLineHeight: TITLE_LINE,
    titlePadding: 6,
  },
  legend: {
    orient: "top",
    title: null,
    labelColor: PALETTE.ink,
    labelFontSize: SIZE.small,
    symbolStrokeWidth: STROKE.mark,
    rowPadding: 2,
    columnPadding: 12,
    layout: { top: { anchor: "start", frame: "bounds" } },
  },
};

/** Six significant figures: more is not seen, and a spec is easier to read. */
export const tidy = (value: number): number => Number(value.toPrecision(6));

/** A meaning and its sign, in a chart and in its legend. */
export interface Meaning {
  readonly text: string;
  /** An SVG path within ±1, {@link SIGN_SIZE} square. */
  readonly shape: string;
  readonly color: string;
  /** Default: `color`. */
  readonly fill?: string;
  readonly dash?: readonly number[];
  /** Not in the legend: it explains itself, or another entry explains it. */
  readonly unlisted?: boolean;
}

/** Square pixels of a sign's box: 20 px wide. */
export const SIGN_SIZE = 400;

/** Paths within ±1: signs differ in shape as well as colour. */
export const SIGN = {
  dot: "M-.3,0A.3,.3,0,1,0,.3,0A.3,.3,0,1,0,-.3,0Z",
  cross: "M-.4,-.4L.4,.4M-.4,.4L.4,-.4",
  diamond: "M0,-.45L.45,0L0,.45L-.45,0Z",
  line: "M-1,0L1,0",
  square: "M-.3,-.3L.3,-.3L.3,.3L-.3,.3Z",
  triangle: "M0,-.35L.35,.3L-.35,.3Z",
  plus: "M-.35,0L.35,0M0,-.35L0,.35",
  box: "M-1,-.45L1,-.45L1,.45L-1,.45Z",
  openLow: "M0,0L.7,-.4L.7,.4Z",
  openHigh: "M0,0L-.7,-.4L-.7,.4Z",
} as const;

/** Px of a legend's row beside its text, by what Vega allows for a letter. */
const SYMBOL_ROOM = 40;

/** Scales of the field `meaning` in the order of the legend, for the channels named; Vega shows them in one legend. */
export function signs(
  meanings: readonly Meaning[],
  width: number | undefined,
  ...channels: ("stroke" | "fill" | "shape" | "strokeDash")[]
): Encoding {
  const room = plotWidth(width);
  const listed = meanings.filter(({ unlisted }) => !unlisted);
  const texts = listed.map(({ text }) => titleLines(text, room - SYMBOL_ROOM, SIZE.small));
  const widest = (measure: (line: string) => number): number =>
    SYMBOL_ROOM + Math.max(...texts.flat().map(measure));
  // Vega sets columns apart by what it allows for letters; the last one needs only what it takes up.
  const further = room - widest((line) => textWidth(line, SIZE.small));
  const column = widest((line) => CHARACTER_ALLOWED * SIZE.small * line.length);
  const legend = {
    title: null,
    ...(listed.length < meanings.length ? { values: listed.map(({ text }) => text) } : {}),
    columns: Math.max(1, Math.min(listed.length, 1 + Math.floor(further / column))),
    labelLimit: room,
    // Marks that have no shape of their own, as areas, show it in the legend.
    ...(new Set(meanings.map(({ shape }) => shape)).size === 1 ? { symbolType: meanings[0]?.shape } : {}),
    symbolSize: SIGN_SIZE,
    labelExpr: `${JSON.stringify(Object.fromEntries(listed.map(({ text }, i) => [text, texts[i]])))}[datum.label]`,
  };
  const domain = meanings.map(({ text }) => text);
  const ranges = {
    stroke: meanings.map(({ color }) => color),
    fill: meanings.map(({ color, fill = color }) => fill),
    shape: meanings.map(({ shape }) => shape),
    strokeDash: meanings.map(({ dash = [1, 0] }) => [...dash]),
  };
  return Object.fromEntries(
    channels.map((channel) => [
      channel,
      { field: "meaning", type: "nominal", scale: { domain, range: ranges[channel] }, legend },
    ]),
  );
}

/** px between ticks, about. */
const TICK_EVERY = 80;
/** The share of a chart's width that the title of a value axis may take: its plot lies beside the labels of rows. */
const TITLE_SHARE = 0.7;

type Scale = NonNullable<NonNullable<Encoding["x"]> & { scale?: unknown }>["scale"] & object;

export type ValueAxis = NonNullable<Encoding["x"]>;

/** The horizontal axis of values in `field`; as long as the values of all layers ask for unless the scale has a domain. */
export function valueAxis(
  field: string,
  title: string,
  width: number | undefined,
  scale: Scale = { zero: false, nice: false, padding: 10 },
  {
    plot = TITLE_SHARE * plotWidth(width),
    ticks,
  }: { readonly plot?: number; readonly ticks?: readonly number[] } = {},
): ValueAxis {
  return {
    field,
    type: "quantitative",
    title: titleLines(title, plot, SIZE.small),
    scale,
    // A label near an end is set towards the middle, so that it stays within the chart.
    axis: {
      labelFlush: 26,
      ...(ticks
        ? { values: [...ticks], labelOverlap: false }
        : { tickCount: Math.max(3, Math.floor(plot / TICK_EVERY)) }),
    },
  };
}

/** The vertical axis of values in `field`, its title lying above the plot. */
export function upAxis(
  field: string,
  title: string,
  width: number | undefined,
  domain: readonly [number, number],
): NonNullable<Encoding["y"]> {
  const lines = titleLines(title, UP_TITLE_SHARE * plotWidth(width), SIZE.small);
  return {
    field,
    type: "quantitative",
    title: lines,
    scale: { domain: [...domain], nice: false, zero: false },
    axis: {
      titleAngle: 0,
      titleAlign: "left",
      titleAnchor: "end",
      titleBaseline: "bottom",
      titleX: 0,
      titleY: -6 - TITLE_LINE * (lines.length - 1),
      tickCount: 5,
      domain: false,
      ticks: false,
    },
  };
}

/** As much of a chart's width as is left beside the figures of a vertical axis. */
const UP_TITLE_SHARE = 0.95;

/** Blank at either end, as a share of the domain. */
const BLANK = 0.05;
/** Zero is shown when it lies no further outside than this share of the domain. */
const ZERO_WITHIN = 0.6;

/** The domain that holds all finite numbers among `values`, with a little blank, and zero where it is not far off. */
export function domainOf(values: readonly number[]): [number, number] {
  const finite = values.filter(Number.isFinite);
  const [low, high] = [Math.min(...finite), Math.max(...finite)];
  const near = ZERO_WITHIN * (high - low);
  const from = low > 0 && low <= near ? 0 : low;
  const to = high < 0 && -high <= near ? 0 : high;
  const blank = BLANK * (to - from) || Math.abs(from) * BLANK || 1;
  return [tidy(from - blank), tidy(to + blank)];
}

/** A rule across the plot at each of the values of one axis. */
export const rulesAt = (
  values: readonly number[],
  encoding: Encoding,
  { color, dash = [] }: { readonly color: string; readonly dash?: readonly number[] },
): Layer => ({
  data: { values: values.map((value) => ({ value })) },
  mark: { type: "rule", color, strokeWidth: STROKE.fine, strokeDash: [...dash], clip: true },
  encoding,
});
