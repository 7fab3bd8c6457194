import type { PanelRow } from "./chart-spec.js";
import type { Panel } from "./chart-spec.js";
import type { TopLevelSpec } from "vega-lite";
import { type ChartSpec, plotWidth } from "./chart-spec.js";
import { texts } from "./marks.js";
import { FONT, PALETTE, PANEL_SPACING, RIM, SIZE } from "./style.js";
import { wrapped, wrappedTitle } from "./text-layout.js";

export interface ChartFrame {
  readonly title: string;
  /** Sentences under the title; each begins a line. */
  readonly notes: readonly string[];
  readonly description: string;
  /** px. */
  readonly width: number | undefined;
}

/** Panels (or rows of them) one below the other, under a title. */
export function framed(frame: ChartFrame, panels: readonly (Panel | PanelRow)[]): ChartSpec {
  const room = plotWidth(frame.width);
  return {
    // Notebooks draw version 5; nothing used here has changed since.
    $schema: "https://vega.github.io/schema/vega-lite/v5.json",
    description: frame.description,
    title: { text: wrappedTitle(frame.title, room, SIZE.title) },
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
function notesPanel(notes: readonly string[], room: number): Panel[] {
  const rows = notes.flatMap((note) => wrapped(note, room, SIZE.small));
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
