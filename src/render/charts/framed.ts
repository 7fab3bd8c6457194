import type { TopLevelSpec } from "vega-lite";
import { FONT, PALETTE, PANEL_SPACING, RIM, SIZE } from "../style.js";
import { fittedLines, textWidth, titleLines } from "../text-layout.js";
import { type ChartSpec, plotWidth } from "./chart-spec.js";
import type { ChartPanel, Layer, PanelRow } from "./chart-views.js";
import { texts } from "./marks.js";

interface ChartFrame {
  readonly title: string;
  /** Sentences under the title; each begins a line. */
  readonly notes: readonly string[];
  readonly description: string;
  /** px. */
  readonly width: number | undefined;
}

/** Panels (or rows of them) one below the other, under a title. */
export function framed(frame: ChartFrame, panels: readonly (ChartPanel | PanelRow)[]): ChartSpec {
  const room = plotWidth(frame.width);
  return {
    // Notebooks draw version 5; nothing used here has changed since.
    $schema: "https://vega.github.io/schema/vega-lite/v5.json",
    description: frame.description,
    title: { text: titleLines(frame.title, room, SIZE.title) },
    padding: RIM,
    background: PALETTE.paper,
    spacing: PANEL_SPACING,
    vconcat: [...notesPanel(frame.notes, room), ...panels],
    resolve: { scale: { x: "independent", y: "independent" } },
    config: CONFIG,
  };
}

const NOTE_LINE = 15;

/** A subtitle as lines of text: Vega would allow for a subtitle's lines far more room than they take up. */
function notesPanel(notes: readonly string[], room: number): ChartPanel[] {
  const rows = notes.flatMap((note) => fittedLines(note, room, SIZE.small));
  if (rows.length === 0) return [];
  return [
    {
      width: room,
      height: NOTE_LINE * rows.length,
      layer: texts(
        rows.map((text, i) => ({ x: 0, y: NOTE_LINE * (i + 1) - 4, text })),
        { size: SIZE.small, color: PALETTE.quiet },
      ),
    },
  ];
}

const CONFIG: NonNullable<TopLevelSpec["config"]> = {
  font: FONT,
  view: { stroke: null },
  title: {
    anchor: "start",
    frame: "group",
    color: PALETTE.ink,
    fontSize: SIZE.title,
    fontWeight: "bold",
    lineHeight: 19,
    offset: 8,
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
    titleLineHeight: 14,
    titlePadding: 6,
  },
};

/** An entry: a small drawing, `swatchWidth` px wide and centred on the line at `y`, and what it means. */
export interface LegendEntry {
  readonly text: string;
  readonly swatch: (x: number, y: number) => Layer[];
}

/** px. */
const LINE = 20;
/** For each further line of an entry. */
const MORE = 14;
export const SWATCH = 26;
const AFTER_SWATCH = 7;
const BETWEEN = 16;

/** Entries from left to right, as many to a line as fit; in columns when they need more than one line. What is wider than the chart is broken. */
export function legendPanel(entries: readonly LegendEntry[], width: number | undefined): ChartPanel {
  const room = plotWidth(width);
  const widths = entries.map(({ text }) => SWATCH + AFTER_SWATCH + textWidth(text, SIZE.small) + BETWEEN);
  const columns = columnsFor(widths, room + BETWEEN);
  const oneLine = columns === entries.length;
  const tall = entries.map(({ text }) => fittedLines(text, room - SWATCH - AFTER_SWATCH, SIZE.small));
  const rows = Math.ceil(entries.length / columns);
  const linesOf = (row: number): number =>
    Math.max(...tall.slice(row * columns, (row + 1) * columns).map((lines) => lines.length));
  const above = (row: number): number =>
    sum(Array.from({ length: row }, (_, i) => LINE + MORE * (linesOf(i) - 1)));
  const placed = entries.map((entry, i) => {
    const before = oneLine ? sum(widths.slice(0, i)) : (i % columns) * Math.max(...widths);
    return {
      ...{ ...entry, lines: tall[i]! },
      x: Math.round(before),
      y: LINE / 2 + above(Math.floor(i / columns)),
    };
  });
  return {
    width: room,
    height: above(rows),
    layer: placed.flatMap(({ lines, swatch, x: left, y }) => [
      ...swatch(left, y),
      ...texts(
        lines.map((text, i) => ({ x: left + SWATCH + AFTER_SWATCH, y: y + 4 + MORE * i, text })),
        { size: SIZE.small },
      ),
    ]),
  };
}

const sum = (widths: readonly number[]): number => widths.reduce((total, w) => total + w, 0);

/** All on one line if they fit there, otherwise as many equal columns as the widest entry allows. */
function columnsFor(widths: readonly number[], room: number): number {
  if (sum(widths) <= room) return widths.length;
  return Math.max(1, Math.min(widths.length, Math.floor(room / Math.max(...widths))));
}

/** px for each line. */
const HEADING_LINE = 15;

/** The title of an upright axis, lying above its plot and broken where it is wider than `room`, px. */
export function headingPanel(title: string, room: number): ChartPanel {
  const heading = fittedLines(title, room, SIZE.small);
  return {
    width: room,
    height: HEADING_LINE * heading.length,
    layer: texts(
      heading.map((text, i) => ({ x: 0, y: HEADING_LINE * (i + 1) - 4, text })),
      { size: SIZE.small },
    ),
  };
}
