import { plotWidth } from "./chart-spec.js";
import type { Layer, Panel } from "./framed.js";
import { texts } from "./marks.js";
import { SIZE } from "./style.js";
import { textWidth } from "./text-layout.js";

/** An entry: a small drawing, `swatchWidth` px wide and centred on the line at `y`, and what it means. */
export interface LegendEntry {
  readonly text: string;
  readonly swatch: (x: number, y: number) => Layer[];
}

/** px. */
const LINE = 20;
export const SWATCH = 26;
const AFTER_SWATCH = 7;
const BETWEEN = 16;

/** Entries from left to right, as many to a line as fit; in columns when they need more than one line. */
export function legendPanel(entries: readonly LegendEntry[], width: number | undefined): Panel {
  const room = plotWidth(width);
  const widths = entries.map(({ text }) => SWATCH + AFTER_SWATCH + textWidth(text, SIZE.small) + BETWEEN);
  const columns = columnsFor(widths, room + BETWEEN);
  const oneLine = columns === entries.length;
  const placed = entries.map((entry, i) => {
    const before = oneLine ? sum(widths.slice(0, i)) : (i % columns) * Math.max(...widths);
    return { ...entry, x: Math.round(before), y: LINE / 2 + LINE * Math.floor(i / columns) };
  });
  return {
    width: room,
    height: LINE * Math.ceil(entries.length / columns),
    layer: placed.flatMap(({ text, swatch, x: left, y }) => [
      ...swatch(left, y),
      ...texts([{ x: left + SWATCH + AFTER_SWATCH, y: y + 4, text }], { size: SIZE.small }),
    ]),
  };
}

const sum = (widths: readonly number[]): number => widths.reduce((total, w) => total + w, 0);

/** All on one line if they fit there, otherwise as many equal columns as the widest entry allows. */
function columnsFor(widths: readonly number[], room: number): number {
  if (sum(widths) <= room) return widths.length;
  return Math.max(1, Math.min(widths.length, Math.floor(room / Math.max(...widths))));
}
