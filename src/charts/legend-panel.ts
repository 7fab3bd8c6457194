import { plotWidth } from "./chart-spec.js";
import type { Layer } from "./chart-spec.js";
import type { Panel } from "./chart-spec.js";
import { texts } from "./marks.js";
import { SIZE } from "./style.js";
import { textWidth, wrapped } from "./text-layout.js";

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
export function legendPanel(entries: readonly LegendEntry[], width: number | undefined): Panel {
  const room = plotWidth(width);
  const widths = entries.map(({ text }) => SWATCH + AFTER_SWATCH + textWidth(text, SIZE.small) + BETWEEN);
  const columns = columnsFor(widths, room + BETWEEN);
  const oneLine = columns === entries.length;
  const tall = entries.map(({ text }) => wrapped(text, room - SWATCH - AFTER_SWATCH, SIZE.small));
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
