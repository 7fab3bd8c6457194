import { UserError } from "../../core/errors.js";
import { type Crossing, pointsUp, threeWayGrid } from "../../model/cell/three-way-grid.js";
import {
  type ChartOptions,
  type ChartSpec,
  type Layer,
  type Panel,
  plotWidth,
  requireFinite,
} from "../../render/charts/chart-spec.js";
import { framed, type LegendEntry, legendPanel, SWATCH } from "../../render/charts/framed.js";
import {
  type AreaStyle,
  boxes,
  lines,
  type Place,
  polygons,
  px,
  texts,
  textWidth,
} from "../../render/charts/marks.js";
import { PALETTE, SIZE } from "../../render/style.js";

/** A figure for each cell of a panel. */
interface PanelMap {
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
 * @throws UserError (code "chart") when there is not one value ≥ 0 for each cell.
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
    throw new UserError(
      "chart",
      `The panel cannot be drawn: it needs one figure for each of its ${rows} × ${columns} cells; it was given ${values.length}.`,
    );
  for (const [cell, value] of values.entries()) {
    requireFinite(value, `figure of cell ${cell + 1}`);
    if (value < 0)
      throw new UserError(
        "chart",
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

/** Room for the numbers of rows and columns, px. */
const NUMBERS = 22;

/** How the cells of a panel lie on a drawing; px from its upper left corner, cells row by row from the top. */
interface PanelLayout {
  readonly width: number;
  readonly height: number;
  /** From the middle of a column to the next, and of a row. */
  readonly columnStep: number;
  readonly rowStep: number;
  /** Middle of the first column, and of the first row. */
  readonly first: Place;
  /** Widest label that stands in a cell. */
  readonly labelRoom: number;
  readonly middle: (cell: number) => Place;
  /** Cells as they are, or each drawn smaller about its middle: `share` of its sides. */
  readonly cells: (
    cells: readonly { readonly cell: number; readonly share: number }[],
    style: AreaStyle,
  ) => Layer[];
  /** What lies below the cells' figures: the wood, and what the border cuts off. */
  readonly ground: readonly Layer[];
  /** The strips between the cells and the border around them. */
  readonly strips: readonly Layer[];
  /** What is drawn and not reckoned, in a sentence. */
  readonly note: string | null;
}

/** px: a triangle as large as the largest square cell. */
const LARGEST_SIDE = 96;
/** What a label of one line loses of a triangle's width at its middle. */
const LABEL_MARGIN = 9;
/** Half of the border's line. */
const EDGE = 1.5;

/** Cells between strips in three directions, every second one standing on its point. @param room px from side to side. */
function threeWayLayout(rows: number, columns: number, room: number): PanelLayout {
  const side = Math.min(LARGEST_SIDE, (2 * (room - NUMBERS - EDGE)) / (columns + 1));
  const { clear, band, lines: strips, halves } = threeWayGrid(rows, columns, side, 0);
  const strip = Math.min(3, side / 12);
  const at = ({ line, half }: Crossing): Place => ({
    x: NUMBERS + (half * side) / 2,
    y: NUMBERS + line * band,
  });
  const corners = (cell: number): Place[] => {
    const [row, column] = [Math.floor(cell / columns), cell % columns];
    const [base, tip] = pointsUp(row, column) ? [row + 1, row] : [row, row + 1];
    return [
      at({ line: base, half: column }),
      at({ line: base, half: column + 2 }),
      at({ line: tip, half: column + 1 }),
    ];
  };
  const middle = (cell: number): Place => {
    const [a, b, c] = corners(cell);
    return { x: (a!.x + b!.x + c!.x) / 3, y: (a!.y + b!.y + c!.y) / 3 };
  };
  const right = NUMBERS + clear.width;
  const frame = { x: NUMBERS, y: NUMBERS, x2: px(right), y2: px(NUMBERS + clear.height) };
  return {
    ...{ width: clear.width, height: clear.height, columnStep: side / 2, rowStep: band },
    first: { x: NUMBERS + side / 2, y: NUMBERS + band / 2 },
    labelRoom: (2 / 3) * side - LABEL_MARGIN,
    middle,
    cells: (cells, style) =>
      polygons(
        cells.map(({ cell, share }) => {
          const { x, y } = middle(cell);
          const towards = (corner: Place): Place => ({
            x: x + share * (corner.x - x),
            y: y + share * (corner.y - y),
          });
          return { name: String(cell), corners: corners(cell).map(towards) };
        }),
        style,
      ),
    ground: [
      ...boxes([frame], { fill: PALETTE.hairline }),
      ...polygons(
        Array.from({ length: rows * columns }, (_, cell) => ({ name: String(cell), corners: corners(cell) })),
        { fill: PALETTE.wood },
      ),
    ],
    strips: [
      ...lines(
        strips.map(({ family, crossings }) => {
          const line = crossings[0]!.line;
          const [start, end] =
            family === "level"
              ? [at({ line, half: 0 }), at({ line, half: columns + 1 })]
              : [at(crossings[0]!), at(crossings.at(-1)!)];
          return { x: px(start.x), y: px(start.y), x2: px(end.x), y2: px(end.y) };
        }),
        { color: PALETTE.woodEdge, width: strip },
      ),
      ...boxes([frame], { fill: "transparent", stroke: PALETTE.woodEdge, strokeWidth: strip }),
    ],
    note: `The ${halves} grey halves at the sides, which the border cuts, are not reckoned.`,
  };
}

/** px. */
const LARGEST_CELL = 64;
/** Blank beside a label. */
const UPRIGHT_LABEL_MARGIN = 4;

/** Cells between upright and level strips. @param room px from side to side. */
function uprightLayout(rows: number, columns: number, room: number): PanelLayout {
  const side = Math.min(LARGEST_CELL, (room - NUMBERS) / columns);
  const [width, height] = [columns * side, rows * side];
  const strip = Math.min(3, side / 8);
  const boxAt = (x: number, y: number, wide: number, high: number) => ({
    ...{ x: px(x), y: px(y), x2: px(x + wide), y2: px(y + high) },
  });
  const corner = (cell: number) => ({
    x: NUMBERS + (cell % columns) * side,
    y: NUMBERS + Math.floor(cell / columns) * side,
  });
  const level = Array.from({ length: rows + 1 }, (_, i) =>
    boxAt(NUMBERS - strip / 2, NUMBERS + i * side - strip / 2, width + strip, strip),
  );
  const upright = Array.from({ length: columns + 1 }, (_, j) =>
    boxAt(NUMBERS + j * side - strip / 2, NUMBERS - strip / 2, strip, height + strip),
  );
  return {
    ...{ width, height, columnStep: side, rowStep: side, labelRoom: side - UPRIGHT_LABEL_MARGIN },
    first: { x: NUMBERS + side / 2, y: NUMBERS + side / 2 },
    middle: (cell) => ({ x: corner(cell).x + side / 2, y: corner(cell).y + side / 2 }),
    cells: (cells, style) =>
      boxes(
        cells.map(({ cell, share }) => {
          const blank = (side * (1 - share)) / 2;
          return boxAt(corner(cell).x + blank, corner(cell).y + blank, share * side, share * side);
        }),
        style,
      ),
    ground: boxes([boxAt(NUMBERS, NUMBERS, width, height)], { fill: PALETTE.wood }),
    strips: boxes([...level, ...upright], { fill: PALETTE.woodEdge }),
    note: null,
  };
}
