import { UserError } from "../../core/errors.js";
import { PALETTE, SIZE, STROKE } from "../style.js";
import { textWidth } from "../text-layout.js";
import { roundTicks, stretchOf } from "./axes.js";
import { type ChartOptions, type ChartSpec, plotWidth, requireFinite, requireRows } from "./chart-spec.js";
import type { ChartPanel, Layer } from "./chart-views.js";
import { framed, headingPanel, legendPanel, SWATCH } from "./framed.js";
import { boxes, lines, polygons, px, symbols, texts } from "./marks.js";

/** A value in one state (a month, a chance), with the interval it may lie in; in the unit shown. */
export interface StateValue {
  readonly value: number;
  readonly low?: number;
  readonly high?: number;
}

/** One quantity through the states, in a panel of its own. */
export interface StatesPanel {
  /** With its unit: `Moisture of the wood (%)`. */
  readonly title: string;
  readonly values: readonly StateValue[];
  /** A level and what it is: one to keep to (`limit`), or one to compare with (`mark`). */
  readonly level?: { readonly value: number; readonly label: string; readonly kind: "limit" | "mark" };
  /** A stretch that something is good for, and what it is. */
  readonly good?: { readonly low: number; readonly high: number; readonly label: string };
}

export interface StatesChartOptions extends ChartOptions {
  readonly title: string;
  readonly notes?: readonly string[];
  /** What the line and the band are. */
  readonly names: { readonly line: string; readonly band: string };
}

/** px. */
const HEIGHT = 120;
const RIM_Y = 6;
const TICK_GAP = 8;
const LABELS = 20;
/** Letters of a state's name where the whole has no room. */
const SHORT = 3;

/**
 * Quantities through named states, one panel under the other, the states from left to right: a line with its interval as a band.
 *
 * @throws UserError (code "chart") when there are no states or no panels, a panel has not one value a state, or a number is not finite.
 */
export function statesChart(
  states: readonly string[],
  panels: readonly StatesPanel[],
  options: StatesChartOptions,
): ChartSpec {
  requireRows(states, "states");
  requireRows(panels, "panels");
  for (const { title, values, level } of panels) {
    if (values.length !== states.length)
      throw new UserError(
        "chart",
        `The panel “${title}” does not fit: it must have one value a state; it has ${values.length} for ${states.length}.`,
      );
    for (const { value, low = value, high = value } of values)
      for (const number of [value, low, high]) requireFinite(number, `value of ${title}`);
    if (level) requireFinite(level.value, `level of ${title}`);
  }
  const room = plotWidth(options.width);
  const scales = panels.map(scaleOf);
  const left =
    Math.max(...scales.flatMap(({ figures }) => figures.map((text) => textWidth(text, SIZE.small)))) +
    TICK_GAP;
  const step = (room - left) / states.length;
  const at = (i: number): number => px(left + step * (i + 0.5));
  const { title, notes = [] } = options;
  const banded = panels.some(({ values }) => values.some(({ low }) => low !== undefined));
  return framed({ title, notes, width: options.width, description: describe(states, panels, options) }, [
    legendPanel(legendEntries(panels, options, banded), options.width),
    ...panels.flatMap((panel, p) => panelOf(panel, scales[p]!, { room, left, at })),
    { width: room, height: LABELS, layer: stateNames(states, step, at) },
  ]);
}

interface Scale {
  readonly low: number;
  readonly high: number;
  readonly ticks: readonly number[];
  readonly figures: readonly string[];
}

function scaleOf({ values, level }: StatesPanel): Scale {
  const all = values.flatMap(({ value, low = value, high = value }) => [value, low, high]);
  const { low, high } = stretchOf([...all, ...(level ? [level.value] : [])]);
  const ticks = roundTicks(low, high, 4);
  const apart = ticks.length > 1 ? ticks[1]! - ticks[0]! : 1;
  const digits = Math.max(0, -Math.floor(Math.log10(apart) + 1e-9));
  const figures = ticks.map((tick) => (Math.abs(tick) < 1e-12 ? 0 : tick).toFixed(digits).replace("-", "−"));
  return { low, high, ticks, figures };
}

interface Placing {
  readonly room: number;
  readonly left: number;
  readonly at: (state: number) => number;
}

function panelOf(
  { title, values, level, good }: StatesPanel,
  scale: Scale,
  { room, left, at }: Placing,
): ChartPanel[] {
  const { low, high, ticks, figures } = scale;
  const up = (value: number): number => px(RIM_Y + (HEIGHT * (high - value)) / (high - low));
  const within = (value: number): number => Math.min(Math.max(value, low), high);
  const band = values.every((one) => one.low !== undefined && one.high !== undefined);
  const corners = [
    ...values.map((one, i) => ({ x: at(i), y: up(one.high ?? one.value) })),
    ...values.map((one, i) => ({ x: at(i), y: up(one.low ?? one.value) })).reverse(),
  ];
  const across = (value: number) => [{ x: px(left), x2: room, y: up(value), y2: up(value) }];
  return [
    headingPanel(title, room),
    {
      width: room,
      height: HEIGHT + 2 * RIM_Y,
      layer: [
        ...(good
          ? boxes([{ x: px(left), x2: room, y: up(within(good.high)), y2: up(within(good.low)) }], {
              fill: PALETTE.wood,
            })
          : []),
        ...(band ? polygons([{ name: "band", corners }], { fill: BAND }) : []),
        ...lines(ticks.flatMap(across), { color: PALETTE.hairline, width: STROKE.hair }),
        ...(low < 0 && high > 0 ? lines(across(0), { color: PALETTE.quiet, width: STROKE.fine }) : []),
        ...texts(
          ticks.map((tick, i) => ({ x: px(left - TICK_GAP + 2), y: up(tick) + 4, text: figures[i]! })),
          { align: "right", size: SIZE.small },
        ),
        ...(level ? lines(across(level.value), LEVEL[level.kind]) : []),
        ...lines(
          values.slice(1).map((one, i) => ({
            ...{ x: at(i), y: up(values[i]!.value) },
            ...{ x2: at(i + 1), y2: up(one.value) },
          })),
          { color: PALETTE.computed, width: STROKE.mark },
        ),
        ...symbols(
          values.map(({ value }, i) => ({ x: at(i), y: up(value) })),
          { shape: "circle", size: 30, fill: PALETTE.computed },
        ),
      ],
    },
  ];
}

/** What is computed, pale: an interval about it. */
const BAND = "#CBDAE9";
const LEVEL = {
  limit: { color: PALETTE.attention, width: STROKE.fine, dash: [6, 3] },
  mark: { color: PALETTE.ink, width: STROKE.fine, dash: [2, 2] },
} as const;

function stateNames(states: readonly string[], step: number, at: (i: number) => number): Layer[] {
  const fits = (names: readonly string[]): boolean =>
    names.every((name) => textWidth(name, SIZE.small) <= step - 2);
  const short = states.map((name) => name.slice(0, SHORT));
  const names = fits(states) ? states : short;
  // Where even these have no room, every second one stands.
  const every = fits(names) ? 1 : 2;
  return texts(
    names.flatMap((text, i) => (i % every === 0 ? [{ x: at(i), y: 13, text }] : [])),
    { align: "center", size: SIZE.small },
  );
}

function legendEntries(panels: readonly StatesPanel[], { names }: StatesChartOptions, banded: boolean) {
  const flat = (style: Parameters<typeof lines>[1]) => (x: number, y: number) =>
    lines([{ x, x2: x + SWATCH, y, y2: y }], style);
  const block = (fill: string) => (x: number, y: number) =>
    boxes([{ x, x2: x + SWATCH, y: y - 5, y2: y + 5 }], { fill });
  return [
    { text: names.line, swatch: flat({ color: PALETTE.computed, width: STROKE.mark }) },
    ...(banded ? [{ text: names.band, swatch: block(BAND) }] : []),
    ...panels.flatMap(({ level, good }) => [
      ...(level ? [{ text: level.label, swatch: flat(LEVEL[level.kind]) }] : []),
      ...(good ? [{ text: good.label, swatch: block(PALETTE.wood) }] : []),
    ]),
  ];
}

/** Highest and lowest of each panel, and in which state. */
function describe(
  states: readonly string[],
  panels: readonly StatesPanel[],
  { title }: StatesChartOptions,
): string {
  const said = panels.map((panel) => {
    const { values } = panel;
    const place = (better: (a: number, b: number) => boolean): string => {
      const best = values.reduce((at, { value }, i) => (better(value, values[at]!.value) ? i : at), 0);
      return `${Number(values[best]!.value.toPrecision(3))} in ${states[best]}`;
    };
    return `${panel.title}: lowest ${place((a, b) => a < b)}, highest ${place((a, b) => a > b)}`;
  });
  return `${title}, ${states.length} states. ${said.join("; ")}.`.replaceAll("-", "−");
}
