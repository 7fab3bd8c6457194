import { ChartError, requireFinite } from "./chart-error.js";
import { type ChartOptions, type ChartSpec, plotWidth } from "./chart-spec.js";
import { framed, type Layer, type Panel } from "./framed.js";
import { type LegendEntry, legendPanel, SWATCH } from "./legend-panel.js";
import { boxes, type Place, px, texts } from "./marks.js";
import { PALETTE, SIZE } from "./style.js";
import { textWidth } from "./text-layout.js";

/** A figure for each cell of a panel. */
export interface PanelMap {
  readonly rows: number;
  readonly columns: number;
  /** Row by row from the top, ≥ 0, in any unit: drawn by area, and darker where larger. */
  readonly values: readonly number[];
  /** How a value is written. */
  readonly label: (value: number) => string;
  /** What a value is, `mean widest gap`. */
  readonly what: string;
}

const TITLE = "The panel, cell by cell";
/** px. */
const LARGEST_CELL = 64;
const NUMBERS = 22;
/** A cell is labelled where its label leaves so much room beside it. */
const LABEL_MARGIN = 4;
/** Share of a cell's side that the largest value takes. */
const LARGEST_MARK = 0.86;
/** Blue from pale to full: one hue by lightness, so that no sight and no grey copy confuses their order. */
const SHADES = ["#D6E4F0", "#A9C8E2", "#6FA3CC", "#3A7CB5", PALETTE.computed] as const;
/** Rows and columns are numbered each, or every fifth where they lie too close. */
const FIFTH = 5;

/**
 * A panel as seen from the front: in each cell a square whose area, and whose shade, is the cell's figure; the largest has a rim where it stands out. Rows are counted from the top.
 *
 * @throws ChartError when there is not one value ≥ 0 for each cell.
 */
export function panelMap(map: PanelMap, options: ChartOptions = {}): ChartSpec {
  const { rows, columns, values, what } = map;
  requireValues(map);
  // A figure stays on one line with its unit.
  const label = (value: number): string => map.label(value).replaceAll(" ", "\u00a0");
  const room = plotWidth(options.width);
  const side = Math.min(LARGEST_CELL, (room - NUMBERS) / columns);
  const most = Math.max(...values);
  const worst = values.indexOf(most);
  // A largest that is written as others are does not stand out.
  const standsOut = values.filter((value) => label(value) === label(most)).length === 1;
  const cornerOf = (cell: number): Place => ({
    x: NUMBERS + (cell % columns) * side,
    y: NUMBERS + Math.floor(cell / columns) * side,
  });
  const title = options.title ?? TITLE;
  const where = `row ${Math.floor(worst / columns) + 1}, column ${(worst % columns) + 1}`;
  const least = Math.min(...values);
  const labelled = values.every(
    (value) => textWidth(label(value), SIZE.tiny) + LABEL_MARGIN <= side && side >= 2 * SIZE.tiny,
  );
  const panel: Panel = {
    width: room,
    height: px(NUMBERS + rows * side + 2),
    layer: [
      ...boxes([boxAt({ x: NUMBERS, y: NUMBERS }, columns * side, rows * side)], { fill: PALETTE.wood }),
      ...values.flatMap((value, cell) => mark(value, most, cornerOf(cell), side)),
      ...gridOf(map, side),
      ...boxes(standsOut ? [boxAt(cornerOf(worst), side, side)] : [], {
        ...{ fill: "transparent", stroke: PALETTE.attention, strokeWidth: 2.5 },
      }),
      ...texts(
        numbers(rows, side, (at) => ({ x: NUMBERS - 5, y: NUMBERS + at + 4 })),
        {
          ...{ align: "right", size: SIZE.tiny, color: PALETTE.quiet },
        },
      ),
      ...texts(
        numbers(columns, side, (at) => ({ x: NUMBERS + at, y: NUMBERS - 6 })),
        {
          ...{ align: "center", size: SIZE.tiny, color: PALETTE.quiet },
        },
      ),
      ...(labelled ? [PALETTE.paper, PALETTE.ink] : []).flatMap((color) =>
        texts(
          values.flatMap((value, cell) => {
            const { x, y } = cornerOf(cell);
            const own = isDark(value / most) ? PALETTE.paper : PALETTE.ink;
            return own === color
              ? [{ x: px(x + side / 2), y: px(y + side / 2 + 4), text: label(value) }]
              : [];
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
        `Area and shade: ${what}, ${label(least)} to ${label(most)}. Rows are counted from the top, columns from the left.`,
      ],
      description: `${title}: ${what} for ${rows} × ${columns} cells, from ${label(least)} to ${label(most)}${standsOut ? `; largest in ${where}` : ""}.`,
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

const boxAt = ({ x, y }: Place, width: number, height: number) => ({
  ...{ x: px(x), y: px(y), x2: px(x + width), y2: px(y + height) },
});

function mark(value: number, most: number, { x, y }: Place, side: number): Layer[] {
  if (!(value > 0)) return [];
  const share = value / most;
  const width = LARGEST_MARK * side * Math.sqrt(share);
  const shade = SHADES[shadeOf(share)]!;
  const blank = (side - width) / 2;
  return boxes([boxAt({ x: x + blank, y: y + blank }, width, width)], { fill: shade });
}

const shadeOf = (share: number): number => Math.min(SHADES.length - 1, Math.floor(SHADES.length * share));

/** Whether a figure stands on a mark dark and large enough for paper-coloured letters. */
const isDark = (share: number): boolean => shadeOf(share) >= SHADES.length - 2;

/** The strips between the cells and the border around them. */
function gridOf({ rows, columns }: PanelMap, side: number): Layer[] {
  const [width, height] = [columns * side, rows * side];
  const strip = Math.min(3, side / 8);
  const level = Array.from({ length: rows + 1 }, (_, i) =>
    boxAt({ x: NUMBERS - strip / 2, y: NUMBERS + i * side - strip / 2 }, width + strip, strip),
  );
  const upright = Array.from({ length: columns + 1 }, (_, j) =>
    boxAt({ x: NUMBERS + j * side - strip / 2, y: NUMBERS - strip / 2 }, strip, height + strip),
  );
  return boxes([...level, ...upright], { fill: PALETTE.woodEdge });
}

function numbers(count: number, side: number, at: (middle: number) => Place) {
  const each = side >= 2 * SIZE.tiny ? 1 : FIFTH;
  return Array.from({ length: count }, (_, k) => k + 1)
    .filter((k) => k === 1 || k % each === 0)
    .map((k) => {
      const { x, y } = at((k - 0.5) * side);
      return { x: px(x), y: px(y), text: String(k) };
    });
}

const legend = (text: string): LegendEntry => ({
  text,
  swatch: (x, y) =>
    boxes([boxAt({ x: x + SWATCH / 2 - 7, y: y - 7 }, 14, 14)], {
      ...{ fill: PALETTE.computed, stroke: PALETTE.attention, strokeWidth: 2.5 },
    }),
});
