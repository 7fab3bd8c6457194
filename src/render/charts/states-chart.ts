import { UserError } from "../../core/errors.js";
import { at } from "../../core/numeric/dense.js";
import { CHARACTER_ALLOWED, PALETTE, SIZE, STROKE } from "../style.js";
import { textWidth, titleLines } from "../text-layout.js";
import { type ChartOptions, type ChartSpec, plotWidth, requireFinite, requireRows } from "./chart-spec.js";
import type { ChartPanel } from "./chart-views.js";
import {
  domainOf,
  type Encoding,
  type Meaning,
  rulesAt,
  SIGN,
  SIGN_SIZE,
  signs,
  stackedPlots,
  tidy,
} from "./grammar.js";

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

/** Height of a plot, px. */
const HEIGHT = 120;
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
  const { title, notes = [], width } = options;
  const meanings = meaningsOf(panels, options);
  const domains = panels.map(domainFor);
  const left = Math.max(...domains.map(figuresWidth));
  return stackedPlots(
    { title, notes, width, description: describe(states, panels, options) },
    panels.map((panel, i) =>
      plotOf(panel, states, { domain: at(domains, i), left, width, meanings, last: i === panels.length - 1 }),
    ),
  );
}

const domainFor = ({ values, level }: StatesPanel): [number, number] =>
  domainOf([
    ...values.flatMap(({ value, low = value, high = value }) => [value, low, high]),
    ...(level ? [level.value] : []),
  ]);

/** Fewest figures along a vertical axis: fewer tell no scale. */
const FEWEST_TICKS = 3;
const STEPS = [5, 2, 1];

/** Round figures within a domain, the fewest that are at least {@link FEWEST_TICKS}, and the decimals they are written with. */
function roundTicks([low, high]: readonly [number, number]): { ticks: number[]; digits: number } {
  const decade = Math.floor(Math.log10(high - low));
  for (let power = decade; ; power--) {
    for (const factor of STEPS) {
      const step = factor * 10 ** power;
      const [first, last] = [Math.ceil(low / step - 1e-9), Math.floor(high / step + 1e-9)];
      if (last - first + 1 < FEWEST_TICKS) continue;
      const ticks = Array.from({ length: last - first + 1 }, (_, i) => tidy((first + i) * step));
      return { ticks, digits: Math.max(0, -power) };
    }
  }
}

/** What Vega allows for the figures of a vertical axis, px: plots under one another begin at the same place. */
function figuresWidth([low, high]: [number, number]): number {
  const { digits } = roundTicks([low, high]);
  const letters = Math.max(low.toFixed(digits).length, high.toFixed(digits).length);
  return Math.ceil(CHARACTER_ALLOWED * SIZE.small * letters) + 6;
}

interface Plot {
  readonly domain: [number, number];
  readonly left: number;
  readonly width: number | undefined;
  readonly meanings: readonly Meaning[];
  /** The last plot names the states. */
  readonly last: boolean;
}

function plotOf(
  { title, values, level, good }: StatesPanel,
  states: readonly string[],
  { domain, left, width, meanings, last }: Plot,
): ChartPanel {
  const [low, high] = domain;
  const { ticks, digits } = roundTicks(domain);
  const room = plotWidth(width);
  const plot = room - left;
  const short = states.some((name) => textWidth(name, SIZE.small) > plot / states.length - 2);
  const names = short ? states.map((name) => name.slice(0, SHORT)) : states;
  const x: Encoding["x"] = {
    field: "state",
    type: "ordinal",
    title: null,
    scale: { type: "point", padding: 0.5 },
    axis: last
      ? {
          labelExpr: `${JSON.stringify(names)}[datum.value]`,
          labelAngle: 0,
          labelOverlap: "parity",
          domain: false,
          ticks: false,
        }
      : null,
  };
  const y: Encoding["y"] = {
    field: "value",
    type: "quantitative",
    title: null,
    scale: { domain, nice: false, zero: false },
    axis: {
      values: ticks,
      format: `.${digits}f`,
      domain: false,
      ticks: false,
      minExtent: left,
      maxExtent: left,
    },
  };
  const within = (value: number): number => tidy(Math.min(Math.max(value, low), high));
  const numbers = values.map(({ value }, state) => ({ state, value: tidy(value) }));
  const expected = numbers.map((row) => ({ ...row, meaning: at(meanings, 0).text }));
  const bands = values.flatMap((one, state) =>
    one.low === undefined || one.high === undefined
      ? []
      : [{ state, value: tidy(one.low), high: tidy(one.high), meaning: at(meanings, 1).text }],
  );
  return {
    title: { text: titleLines(title, room, SIZE.small), ...PLOT_TITLE },
    width: plot,
    height: HEIGHT,
    layer: [
      ...(good
        ? [
            {
              data: { values: [{ value: within(good.low), high: within(good.high), meaning: good.label }] },
              mark: "rect" as const,
              encoding: { y, y2: { field: "high" }, ...signs(meanings, width, "fill") },
            },
          ]
        : []),
      ...(bands.length === values.length
        ? [
            {
              data: { values: bands },
              mark: { type: "area" as const, opacity: 1 },
              encoding: { x, y, y2: { field: "high" }, ...signs(meanings, width, "fill") },
            },
          ]
        : []),
      ...(low < 0 && high > 0 ? [rulesAt([0], { y }, { color: PALETTE.quiet })] : []),
      ...(level
        ? [
            {
              data: { values: [{ value: level.value, meaning: level.label }] },
              mark: { type: "rule" as const, strokeWidth: STROKE.fine, clip: true },
              encoding: { y, ...signs(meanings, width, "stroke", "strokeDash") },
            },
          ]
        : []),
      {
        data: { values: numbers },
        mark: { type: "line", color: PALETTE.computed, strokeWidth: STROKE.mark },
        encoding: { x, y },
      },
      {
        data: { values: expected },
        mark: { type: "point", size: SIGN_SIZE, strokeWidth: 0.5, opacity: 1 },
        encoding: { x, y, ...signs(meanings, width, "stroke", "fill", "shape", "strokeDash") },
      },
    ],
  };
}

const PLOT_TITLE = { fontSize: SIZE.small, fontWeight: "normal", lineHeight: 14, offset: 6 } as const;

/** What is computed, pale: an interval about it. */
const BAND = "#CBDAE9";
const LEVEL = {
  limit: { shape: SIGN.line, color: PALETTE.attention, dash: [6, 3] },
  mark: { shape: SIGN.line, color: PALETTE.ink, dash: [2, 2] },
} as const;

/** The value first, its interval second. */
function meaningsOf(panels: readonly StatesPanel[], { names }: StatesChartOptions): Meaning[] {
  const banded = panels.some(({ values }) => values.some(({ low }) => low !== undefined));
  return [
    { text: names.line, shape: SIGN.dot, color: PALETTE.computed },
    { text: names.band, shape: SIGN.box, color: BAND, unlisted: !banded },
    ...panels.flatMap(({ level, good }) => [
      ...(level ? [{ text: level.label, ...LEVEL[level.kind] }] : []),
      ...(good ? [{ text: good.label, shape: SIGN.box, color: PALETTE.wood }] : []),
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
