import { ChartError, requireFinite } from "../chart-error.js";
import { type ChartOptions, type ChartSpec, plotWidth } from "../chart-spec.js";
import type { Panel } from "../chart-spec.js";
import { framed } from "../framed.js";
import { type LegendEntry, legendPanel, SWATCH } from "../legend-panel.js";
import { boxes, px, texts } from "../marks.js";
import { PALETTE, SIZE } from "../style.js";
import { textWidth } from "../text-layout.js";
import { NUMBERS } from "./panel-layout.js";
import { threeWayLayout } from "./three-way-layout.js";
import { uprightLayout } from "./upright-layout.js";

/** A figure for each cell of a panel. */
export interface PanelMap {
  readonly rows: number;
  readonly columns: number;
  /** Whether the cells are triangles of a three-way grid; default false: rectangles. */
  readonly threeWay?: boolean;
  /** Row by row from the top, ≥ 0, in any unit: drawn by area, and darker where larger. */
  readonly values: readonly number[];
  /** How a value is written. */
  readonly label: (value: number) => string;
  /** What a value is, `mean widest gap`. */
  readonly what: string;
}

const TITLE = "The panel, cell by cell";
/** Share of a cell's side that the largest value takes. */
const LARGEST_MARK = 0.86;
/** Blue from pale to full: one hue by lightness, so that no sight and no grey copy confuses their order. */
const SHADES = ["#D6E4F0", "#A9C8E2", "#6FA3CC", "#3A7CB5", PALETTE.computed] as const;
/** Rows and columns are numbered each, or every fifth where they lie too close. */
const FIFTH = 5;

/**
 * A panel as seen from the front: in each cell a square or a triangle whose area, and whose shade, is the cell's figure; the largest has a rim where it stands out. Rows are counted from the top.
 *
 * @throws ChartError when there is not one value ≥ 0 for each cell.
 */
export function panelMap(map: PanelMap, options: ChartOptions = {}): ChartSpec {
  const { rows, columns, values, what } = map;
  requireValues(map);
  // A figure stays on one line with its unit.
  const label = (value: number): string => map.label(value).replaceAll(" ", "\u00a0");
  const room = plotWidth(options.width);
  const layout = (map.threeWay ? threeWayLayout : uprightLayout)(rows, columns, room);
  const { rowStep, columnStep, first } = layout;
  const [least, most] = [Math.min(...values), Math.max(...values)];
  const worst = values.indexOf(most);
  // A largest that is written as others are does not stand out.
  const standsOut = values.filter((value) => label(value) === label(most)).length === 1;
  const title = options.title ?? TITLE;
  const where = `row ${Math.floor(worst / columns) + 1}, column ${(worst % columns) + 1}`;
  const labelled = values.every(
    (value) => textWidth(label(value), SIZE.tiny) <= layout.labelRoom && rowStep >= 2 * SIZE.tiny,
  );
  const own = values.map((value, cell) => ({ value, cell, shade: shadeOf(value / most) }));
  const quiet = { size: SIZE.tiny, color: PALETTE.quiet };
  const panel: Panel = {
    width: room,
    height: px(NUMBERS + layout.height + 2),
    layer: [
      ...layout.ground,
      ...own.flatMap(({ value, cell, shade }) =>
        value > 0
          ? layout.cells([{ cell, share: LARGEST_MARK * Math.sqrt(value / most) }], { fill: SHADES[shade]! })
          : [],
      ),
      ...layout.strips,
      ...layout.cells(standsOut ? [{ cell: worst, share: 1 }] : [], {
        ...{ fill: "transparent", stroke: PALETTE.attention, strokeWidth: 2.5 },
      }),
      ...texts(
        numbers(rows, rowStep, (step) => ({ x: NUMBERS - 5, y: first.y + step + 4 })),
        { ...quiet, align: "right" },
      ),
      ...texts(
        numbers(columns, columnStep, (step) => ({ x: first.x + step, y: NUMBERS - 6 })),
        { ...quiet, align: "center" },
      ),
      ...(labelled ? [PALETTE.paper, PALETTE.ink] : []).flatMap((color) =>
        texts(
          own.flatMap(({ value, cell, shade }) => {
            const { x, y } = layout.middle(cell);
            const rightColor = isDark(shade) ? PALETTE.paper : PALETTE.ink;
            return rightColor === color ? [{ x: px(x), y: px(y + 4), text: label(value) }] : [];
          }),
          { align: "center", size: SIZE.tiny, color },
        ),
      ),
    ],
  };
  return framed(
    {
      title,
      notes: [
        `Area and shade: ${what}, ${label(least)} to ${label(most)}. Rows are counted from the top, columns from the left.${layout.note === null ? "" : ` ${layout.note}`}`,
      ],
      description: `${title}: ${what} for ${rows} × ${columns} ${map.threeWay ? "triangles" : "cells"}, from ${label(least)} to ${label(most)}${standsOut ? `; largest in ${where}` : ""}.`,
      width: options.width,
    },
    standsOut ? [panel, legendPanel([legend(`largest: ${where}, ${label(most)}`)], options.width)] : [panel],
  );
}

function requireValues({ rows, columns, values }: PanelMap): void {
  if (values.length !== rows * columns || values.length === 0)
    throw new ChartError(
      `The panel cannot be drawn: it needs one figure for each of its ${rows} × ${columns} cells; it was given ${values.length}.`,
    );
  for (const [cell, value] of values.entries()) {
    requireFinite(value, `figure of cell ${cell + 1}`);
    if (value < 0)
      throw new ChartError(
        `The panel cannot be drawn: a figure must be 0 or more; cell ${cell + 1} has ${value}.`,
      );
  }
}

/** Which of the shades; the palest for nothing of nothing. */
const shadeOf = (share: number): number =>
  share > 0 ? Math.min(SHADES.length - 1, Math.floor(SHADES.length * share)) : 0;

/** Whether a figure stands on a mark dark and large enough for paper-coloured letters. */
const isDark = (shade: number): boolean => shade >= SHADES.length - 2;

function numbers(count: number, step: number, at: (from: number) => { x: number; y: number }) {
  const each = step >= 2 * SIZE.tiny ? 1 : FIFTH;
  return Array.from({ length: count }, (_, k) => k + 1)
    .filter((k) => k === 1 || k % each === 0)
    .map((k) => {
      const { x, y } = at((k - 1) * step);
      return { x: px(x), y: px(y), text: String(k) };
    });
}

const legend = (text: string): LegendEntry => ({
  text,
  swatch: (x, y) =>
    boxes([{ x: px(x + SWATCH / 2 - 7), y: px(y - 7), x2: px(x + SWATCH / 2 + 7), y2: px(y + 7) }], {
      ...{ fill: PALETTE.computed, stroke: PALETTE.attention, strokeWidth: 2.5 },
    }),
});
